// SPDX-License-Identifier: GPL-3.0-or-later
// Frame against GeographicLib, which shares no code with PROJ.
#include "base/parallel.h"
#include "base/random.h"
#include "catch.h"
#include "geo/frame.h"

#include <GeographicLib/Geodesic.hpp>
#include <GeographicLib/LambertConformalConic.hpp>
#include <GeographicLib/TransverseMercatorExact.hpp>

#include <cmath>

using namespace fw;

namespace {

constexpr double kGrs80A = 6378137.0, kGrs80F = 1 / 298.257222101;

struct Place {
    const char* name;
    int epsg; ///< 0: the place's UTM zone
    double lat, lon;
};
// Both hemispheres, middles and edges of zones (three degrees off the middle is the edge), the widened zones
// of the north, both ends of the grid, the date line; then two national systems at their middle and rim.
const Place kPlaces[] = {
    {"island in the ocean", 0, 36.9, -20.4},
    {"middle of zone, north", 0, 48.0, 9.0},
    {"middle of zone, south", 0, -33.9, 21.0},
    {"western edge, north", 0, 52.0, 6.0001},
    {"eastern edge, north", 0, 52.0, 11.9999},
    {"western edge, south", 0, -34.0, 18.0001},
    {"eastern edge, south", 0, -34.0, 23.9999},
    {"edge near the equator, north", 0, 0.5, 101.99},
    {"edge near the equator, south", 0, -0.5, -78.01},
    {"on the equator", 0, 0.0, 32.5},
    {"west coast of Norway", 0, 60.4, 5.3},
    {"western rim of zone 32 V", 0, 58.0, 3.01},
    {"Svalbard", 0, 78.2, 15.6},
    {"Svalbard, rim of zone 33 X", 0, 77.0, 9.01},
    {"far north", 0, 83.5, -60.01},
    {"far south", 0, -79.5, 60.01},
    {"east of the date line", 0, 66.0, -179.99},
    {"west of the date line", 0, -17.0, 179.99},
    {"high town", 0, -16.5, -68.15},
    {"tropics", 0, 13.7, 100.5},
    {"Japan IX, middle", 6677, 35.68, 139.76},
    {"Japan IX, rim", 6677, 37.5, 141.5},
    {"Lambert-93, middle", 2154, 47.0, 2.5},
    {"Lambert-93, rim", 2154, 43.7, 7.3},
};

Frame frameOf(const Place& p) {
    auto f = p.epsg == 0 ? Frame::utmFor({p.lat, p.lon}) : Frame::fromEpsg(p.epsg);
    if (!f) throw std::runtime_error(f.error().sentence());
    return *f;
}

PlanePoint plane(const Frame& f, GeoPoint p) {
    const auto out = f.toPlane(p);
    if (!out) throw std::runtime_error(out.error().sentence());
    return *out;
}

} // namespace

TEST_CASE("Distances and azimuths up to 5 km are those of the ellipsoid", "[frame]") {
    const std::uint64_t seed = 20260515;
    INFO("seed " << seed);
    Random r(seed);
    const auto& earth = GeographicLib::Geodesic::WGS84();
    int pairs = 0;
    for (const Place& place : kPlaces) {
        INFO(place.name);
        const Frame frame = frameOf(place);
        for (int i = 0; i < 500; ++i, ++pairs) {
            GeoPoint a, b;
            earth.Direct(place.lat, place.lon, r.between(0, 360), r.between(0, 5000), a.latDeg, a.lonDeg);
            // From 20 m: plane coordinates are kept to a micrometre, which is 1e-6 of one metre.
            earth.Direct(a.latDeg, a.lonDeg, r.between(0, 360), r.between(20, 5000), b.latDeg, b.lonDeg);
            double distance = 0, azimuth = 0, back = 0;
            earth.Inverse(a.latDeg, a.lonDeg, b.latDeg, b.lonDeg, distance, azimuth, back);
            const PlanePoint pa = plane(frame, a), pb = plane(frame, b);
            const double relative = frame.groundDistance(pa, pb) / distance - 1;
            REQUIRE(std::fabs(relative) < 1e-6);
            const double turn = wrap180(frame.trueAzimuth(pa, pb).deg - azimuth);
            REQUIRE(std::fabs(turn) < 0.01);
        }
    }
    CHECK(pairs == 12000);
}

TEST_CASE("There and back meets within a hundredth of a millimetre", "[frame]") {
    const std::uint64_t seed = 3;
    INFO("seed " << seed);
    Random r(seed);
    for (const Place& place : kPlaces) {
        INFO(place.name);
        const Frame frame = frameOf(place);
        for (int i = 0; i < 50; ++i) {
            const GeoPoint at{place.lat + r.between(-0.02, 0.02), place.lon + r.between(-0.02, 0.02)};
            const PlanePoint p = plane(frame, at);
            const auto back = frame.toGeo(p);
            REQUIRE(back);
            REQUIRE(planeDistance(plane(frame, *back), p) < 1e-5);
            REQUIRE(wrap180(frame.toTrue(frame.toGrid(TrueAzimuth{123.4}, p), p).deg - 123.4) ==
                    Approx(0).margin(1e-9));
        }
    }
}

TEST_CASE("UTM coordinates, scale and convergence are GeographicLib's", "[frame]") {
    const auto& tm = GeographicLib::TransverseMercatorExact::UTM();
    for (const Place& place : kPlaces) {
        if (place.epsg != 0) continue;
        INFO(place.name);
        const Frame frame = frameOf(place);
        const bool south = frame.epsg() > 32700;
        const double middle = 6.0 * (frame.epsg() % 100) - 183;
        double x = 0, y = 0, gamma = 0, k = 0;
        tm.Forward(middle, place.lat, place.lon, x, y, gamma, k);
        const PlanePoint p = plane(frame, {place.lat, place.lon});
        CHECK(p.x == Approx(x + 500000).margin(1e-5).epsilon(0));
        CHECK(p.y == Approx(y + (south ? 1e7 : 0)).margin(1e-5).epsilon(0));
        // 4e-8 and 3e-6 deg are what crs.h promises.
        CHECK(frame.scale(p) == Approx(k).margin(4e-8).epsilon(0));
        CHECK(frame.convergenceDeg(p) == Approx(gamma).margin(3e-6).epsilon(0));
    }
}

TEST_CASE("Zones follow the UTM grid with its exceptions", "[frame]") {
    // NGA.SIG.0012, 7.5.
    CHECK(Frame::utmFor({36.9, -20.4})->epsg() == 32627);
    CHECK(Frame::utmFor({-33.9, 18.4})->epsg() == 32734);
    CHECK(Frame::utmFor({60.4, 5.3})->epsg() == 32632); // 31 by longitude
    CHECK(Frame::utmFor({55.9, 5.3})->epsg() == 32631);
    CHECK(Frame::utmFor({64.0, 5.3})->epsg() == 32631);
    CHECK(Frame::utmFor({78.2, 15.6})->epsg() == 32633);
    CHECK(Frame::utmFor({78.2, 8.99})->epsg() == 32631); // 32 by longitude
    CHECK(Frame::utmFor({78.2, 32.9})->epsg() == 32635);
    CHECK(Frame::utmFor({78.2, 33.0})->epsg() == 32637);
    CHECK(Frame::utmFor({71.9, 8.0})->epsg() == 32632);
    CHECK(Frame::utmFor({10, 180})->epsg() == 32601);
    CHECK(Frame::utmFor({10, -180})->epsg() == 32601);
    CHECK(Frame::utmFor({10, 179.999})->epsg() == 32660);
    CHECK(Frame::utmFor({0, 0})->epsg() == 32631);
    CHECK_FALSE(Frame::utmFor({84.01, 0}));
    CHECK_FALSE(Frame::utmFor({-80.01, 0}));
    CHECK_FALSE(Frame::utmFor({NAN, 0}));
    CHECK_FALSE(Frame::utmFor({0, INFINITY}));
}

TEST_CASE("Japan zone IX (EPSG:6677), whose registry axes run north first, is right", "[frame]") {
    const auto f = Frame::fromEpsg(6677);
    REQUIRE(f);
    CHECK(f->name() == "JGD2011 / Japan Plane Rectangular CS IX");
    // Definition (EPSG conversion 17809): transverse Mercator on GRS 80, origin 36 N 139 deg 50 min E, scale
    // 0.9999, no false origin.
    const double middle = 139 + 50.0 / 60;
    const PlanePoint origin = plane(*f, {36, middle});
    CHECK(length(origin) < 1e-5);
    CHECK(f->scale({0, 0}) == Approx(0.9999).margin(4e-8).epsilon(0));
    CHECK(f->convergenceDeg({0, 0}) == Approx(0).margin(3e-6));
    const GeographicLib::TransverseMercatorExact tm(kGrs80A, kGrs80F, 0.9999);
    double x0 = 0, y0 = 0;
    tm.Forward(middle, 36, middle, x0, y0);
    for (const GeoPoint at : {GeoPoint{35.658099, 139.741358}, {36.5, 141.0}, {35.0, 138.5}, {37.2, 139.9}}) {
        double x = 0, y = 0, gamma = 0, k = 0;
        tm.Forward(middle, at.latDeg, at.lonDeg, x, y, gamma, k);
        const PlanePoint p = plane(*f, at);
        CHECK(p.x == Approx(x).margin(1e-4).epsilon(0)); // east is x
        CHECK(p.y == Approx(y - y0).margin(1e-4).epsilon(0));
        CHECK(f->scale(p) == Approx(k).margin(4e-8).epsilon(0));
        CHECK(f->convergenceDeg(p) == Approx(gamma).margin(3e-6).epsilon(0));
    }
}

TEST_CASE("Lambert-93 (EPSG:2154) is right", "[frame]") {
    const auto f = Frame::fromEpsg(2154);
    REQUIRE(f);
    // Definition (EPSG conversion 18085): Lambert conformal conic on GRS 80, standard parallels 44 and 49 N,
    // origin 46.5 N 3 E at 700000, 6600000.
    const PlanePoint origin = plane(*f, {46.5, 3});
    CHECK(origin.x == Approx(700000).margin(1e-5).epsilon(0));
    CHECK(origin.y == Approx(6600000).margin(1e-5).epsilon(0));
    CHECK(f->scale(plane(*f, {44, 5})) == Approx(1).margin(4e-8).epsilon(0));
    CHECK(f->scale(plane(*f, {49, 1})) == Approx(1).margin(4e-8).epsilon(0));
    // The cone's constant 0.7256077650 (IGN, NTG 71, Lambert-93): convergence grows by it with longitude.
    CHECK(f->convergenceDeg(plane(*f, {45, 7})) == Approx(0.7256077650 * 4).margin(3e-6).epsilon(0));
    const GeographicLib::LambertConformalConic lcc(kGrs80A, kGrs80F, 44, 49, 1);
    double x0 = 0, y0 = 0;
    lcc.Forward(3, 46.5, 3, x0, y0);
    for (const GeoPoint at : {GeoPoint{48.8566, 2.3522}, {43.3, 5.4}, {48.4, -4.5}, {42.0, 9.2}}) {
        double x = 0, y = 0, gamma = 0, k = 0;
        lcc.Forward(3, at.latDeg, at.lonDeg, x, y, gamma, k);
        const PlanePoint p = plane(*f, at);
        CHECK(p.x == Approx(x - x0 + 700000).margin(1e-4).epsilon(0));
        CHECK(p.y == Approx(y - y0 + 6600000).margin(1e-4).epsilon(0));
        CHECK(f->scale(p) == Approx(k).margin(4e-8).epsilon(0));
        CHECK(f->convergenceDeg(p) == Approx(gamma).margin(3e-6).epsilon(0));
    }
}

TEST_CASE("Systems that would make silent errors are refused by a sentence", "[frame]") {
    struct Case {
        int epsg;
        const char* says;
    };
    // What each is, by the EPSG registry.
    const Case cases[] = {
        {2263, "US survey foot"},     // New York Long Island (ftUS)
        {3857, "web map"},            // Pseudo-Mercator
        {2048, "axis that runs"},     // Hartebeesthoek94 / Lo19, axes run west and south
        {3035, "not conformal"},      // ETRS89-extended / LAEA Europe, equal area
        {3034 + 1000000, "registry"}, // no such code
        {4326, "degrees"},            // WGS 84, geographic
        {32661, "axis that runs"},    // UPS North: both axes run south from the pole
        {4978, "plane"},              // WGS 84 geocentric
        {54, "registry"},
        {-1, "registry"},
        {0, "registry"},
    };
    for (const Case& c : cases) {
        INFO(c.epsg);
        const auto f = Frame::fromEpsg(c.epsg);
        REQUIRE_FALSE(f);
        INFO(f.error().sentence());
        CHECK(f.error().sentence().find(c.says) != std::string::npos);
        CHECK(f.error().sentence().find("EPSG:" + std::to_string(c.epsg)) == 0);
        CHECK(f.error().text.back() == '.');
    }
}

TEST_CASE("National systems that are conformal and in metres are taken", "[frame]") {
    // Transverse Mercator, Lambert conformal, oblique and double stereographic, oblique Mercator, Krovak and
    // the New Zealand map grid; several north-first or on a datum of their own.
    for (const int epsg : {25832, 27700, 28992, 2056, 31370, 31287, 5514, 2180, 3006, 2193,  27200,
                           27572, 28355, 31467, 3763, 22185, 31983, 5179, 3414, 2326, 26591, 32733}) {
        const auto f = Frame::fromEpsg(epsg);
        INFO(epsg << ' ' << (f ? "" : f.error().sentence()));
        CHECK(f.ok());
    }
}

TEST_CASE("A system counted in grads from Paris keeps its scale and its north", "[frame]") {
    // NTF (Paris) / Lambert zone II (EPSG:27572, conversion 18082): scale 0.99987742 at the origin 52 grads
    // north on the meridian of Paris, false origin 600000, 2200000.
    const auto f = Frame::fromEpsg(27572);
    REQUIRE(f);
    CHECK(f->scale({600000, 2200000}) == Approx(0.99987742).margin(4e-8).epsilon(0));
    CHECK(f->convergenceDeg({600000, 2200000}) == Approx(0).margin(3e-6));
    // East of its meridian the grid's north leans east of true north, as on any cone in the north.
    CHECK(f->convergenceDeg({700000, 2200000}) > 0.5);
}

TEST_CASE("Outside its domain a frame says so", "[frame]") {
    const auto f = Frame::utmFor({50, 9});
    REQUIRE(f);
    for (const GeoPoint at : {GeoPoint{0, 99}, {50, -171}, {9, 50}, {91, 9}, {NAN, 9}, {50, INFINITY}}) {
        INFO(at.latDeg << " " << at.lonDeg);
        CHECK_FALSE(f->toPlane(at));
    }
    for (const PlanePoint at : {PlanePoint{NAN, 0}, {1e9, 1e9}, {INFINITY, 5e6}}) {
        INFO(at.x << " " << at.y);
        CHECK_FALSE(f->toGeo(at));
        CHECK(std::isnan(f->scale(at)));
        CHECK(std::isnan(f->convergenceDeg(at)));
        CHECK(std::isnan(f->groundDistance(at, at)));
    }
}

TEST_CASE("Grid azimuths run clockwise from grid north", "[frame]") {
    CHECK(gridAzimuth({0, 0}, {0, 5}).deg == 0);
    CHECK(gridAzimuth({0, 0}, {5, 0}).deg == Approx(90).margin(1e-9));
    CHECK(gridAzimuth({0, 0}, {0, -5}).deg == Approx(180).margin(1e-9));
    CHECK(gridAzimuth({0, 0}, {-5, 0}).deg == Approx(270).margin(1e-9));
    CHECK(gridAzimuth({7, 7}, {7, 7}).deg == 0);
}

TEST_CASE("A frame gives the same bytes from any number of threads", "[frame][threads]") {
    const auto frame = Frame::utmFor({36.9, -20.4});
    REQUIRE(frame);
    auto run = [&](unsigned threads) {
        std::vector<double> out(2000 * 4);
        parallelFor(2000, threads, [&](std::size_t i) {
            const GeoPoint at{36.8 + 1e-4 * static_cast<double>(i), -20.5 + 7e-5 * static_cast<double>(i)};
            const PlanePoint p = plane(*frame, at);
            double* const o = &out[i * 4];
            o[0] = p.x, o[1] = p.y, o[2] = frame->scale(p), o[3] = frame->convergenceDeg(p);
        });
        return out;
    };
    const auto one = run(1);
    CHECK(one == run(2));
    CHECK(one == run(8));
}

TEST_CASE("The text form of the system names it and its metres", "[frame]") {
    const auto f = Frame::fromEpsg(32627);
    REQUIRE(f);
    CHECK(f->name() == "WGS 84 / UTM zone 27N");
    CHECK(f->wkt().starts_with("PROJCS[\"WGS 84 / UTM zone 27N\""));
    CHECK(f->wkt().find("AUTHORITY[\"EPSG\",\"32627\"]") != std::string::npos);
}
