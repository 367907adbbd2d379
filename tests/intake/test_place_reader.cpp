// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/random.h"
#include "catch.h"
#include "geo/shape.h"
#include "intake/place_reader.h"

#include <cmath>
#include <ogr_spatialref.h>

using namespace fw;

namespace {

Frame frameOf(int epsg) {
    auto frame = Frame::fromEpsg(epsg);
    REQUIRE(frame.ok());
    return *frame;
}

PlaceReader readerOf(const SourceSystem& from, const Frame& plan) {
    auto reader = PlaceReader::open(from, plan);
    INFO((reader ? "" : reader.error().sentence()));
    REQUIRE(reader.ok());
    return *reader;
}

std::string placeRefusal(const SourceSystem& from) {
    const auto reader = PlaceReader::open(from, frameOf(32629));
    return reader ? "" : reader.error().sentence();
}

std::string wktOf(const std::string& input) {
    OGRSpatialReference system;
    REQUIRE(system.SetFromUserInput(input.c_str()) == OGRERR_NONE);
    char* text = nullptr;
    system.exportToWkt(&text);
    const std::string wkt = text;
    CPLFree(text);
    return wkt;
}

} // namespace

TEST_CASE("degrees become the plane places that the frame gives, bit for bit", "[places]") {
    struct Case {
        int plan;
        GeoPoint middle;
    };
    const auto c = GENERATE(Case{32629, {53.3, -6.3}}, Case{2157, {53.3, -6.3}}, Case{27700, {52.5, -1.9}},
                            Case{25832, {51.5, 7.5}}, Case{6677, {35.7, 139.8}}, Case{32755, {-37.8, 145.0}});
    const Frame plan = frameOf(c.plan);
    const std::uint64_t seed = 11;
    INFO("EPSG:" << c.plan << ", seed " << seed);
    Random random(seed);
    std::vector<PlanePoint> points, expected;
    for (int k = 0; k < 500; ++k) {
        const GeoPoint p{c.middle.latDeg + random.between(-0.5, 0.5),
                         c.middle.lonDeg + random.between(-0.5, 0.5)};
        points.push_back({p.lonDeg, p.latDeg});
        expected.push_back(*plan.toPlane(p));
    }
    for (const SourceSystem& from : {SourceSystem{4326, {}}, SourceSystem{0, wktOf("EPSG:4326")},
                                     SourceSystem{0, wktOf("OGC:CRS84")}, SourceSystem{4979, {}}}) {
        const PlaceReader reader = readerOf(from, plan);
        CHECK(reader.geographic());
        auto read = points;
        REQUIRE(reader.toPlan(read));
        CHECK(read == expected);
    }
}

TEST_CASE("plane systems come into the plan by the library's own way", "[places]") {
    const Frame plan = frameOf(2157); // Irish Transverse Mercator
    const GeoPoint dublin{53.3498, -6.2603};
    const auto there = plan.toPlane(dublin);
    REQUIRE(there.ok());

    SECTION("the plan's own system is taken as it is") {
        std::vector<PlanePoint> p{{715830.25, 734697.5}};
        const auto as = p;
        REQUIRE(readerOf({2157, {}}, plan).toPlan(p));
        CHECK(p == as);
    }
    SECTION("a UTM zone") {
        const auto utm = frameOf(32629).toPlane(dublin);
        std::vector<PlanePoint> p{*utm};
        REQUIRE(readerOf({32629, {}}, plan).toPlan(p));
        // Two ways of the same library over WGS 84, each rounded to a micrometre.
        CHECK(std::fabs(p[0].x - there->x) < 1e-4);
        CHECK(std::fabs(p[0].y - there->y) < 1e-4);
    }
    SECTION("feet become metres") {
        // EPSG:2263 is in US survey feet; the same place in metres is EPSG:32118.
        const Frame metres = frameOf(32118);
        std::vector<PlanePoint> feet{{984250.0, 199000.0}};
        REQUIRE(readerOf({2263, {}}, metres).toPlan(feet));
        CHECK(feet[0].x == Approx(984250.0 * 1200 / 3937).margin(0.001));
        CHECK(feet[0].y == Approx(199000.0 * 1200 / 3937).margin(0.001));
    }
    SECTION("heights are dropped with a note") {
        const auto reader = readerOf({0, wktOf("EPSG:2157+5731")}, plan);
        CHECK_FALSE(reader.geographic());
        REQUIRE(reader.notes().size() == 1);
        CHECK(reader.notes()[0].find("Malin Head") != std::string::npos);
    }
}

TEST_CASE("what names no place in the plane is refused", "[places]") {
    CHECK(placeRefusal({999999, {}}).find("not a reference system") != std::string::npos);
    CHECK(placeRefusal({5731, {}}).find("no places in the plane") != std::string::npos); // heights
    CHECK(placeRefusal({4978, {}}).find("no places in the plane") != std::string::npos); // geocentric
    CHECK(placeRefusal({}).find("names no coordinate system") != std::string::npos);
    CHECK(placeRefusal({0, "http://example.invalid/system"}).find("names no coordinate system") !=
          std::string::npos);
    CHECK(placeRefusal({0, R"(LOCAL_CS["site grid",UNIT["metre",1]])"}).find("no places in the plane") !=
          std::string::npos);
    // A datum that nothing is known of: the library alone would pretend that it is WGS 84.
    const std::string unknown =
        R"(GEOGCS["survey of 1911",DATUM["survey of 1911",SPHEROID["Bessel 1841",6377397.155,299.1528128]],)"
        R"(PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]])";
    CHECK(placeRefusal({0, unknown}).find("no sure way") != std::string::npos);
}

TEST_CASE("places outside the plan's system stay as they were", "[places]") {
    const Frame plan = frameOf(32629);
    const auto wgs84 = readerOf({4326, {}}, plan);
    std::vector<PlanePoint> p{{-6.3, 53.3}, {53.3, -6.3}};
    const auto as = p;
    CHECK_FALSE(wgs84.toPlan(p));
    CHECK(p == as);
    p = {{-6.3, std::nan("")}};
    CHECK_FALSE(wgs84.toPlan(p));
    const auto plane = readerOf({32629, {}}, plan);
    p = {{680000, 5910000}, {1e9, 5910000}};
    CHECK_FALSE(plane.toPlan(p));
    p = {{680000, 5910000}};
    CHECK(plane.toPlan(p));
    p = {};
    CHECK(plane.toPlan(p));
}
