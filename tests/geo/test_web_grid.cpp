// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/random.h"
#include "catch.h"
#include "geo/web_grid.h"
#include "reference_cases.h"

#include <cmath>
#include <numbers>

using namespace fw;

TEST_CASE("zooms of the web's grid have the published scales", "[web]") {
    // OGC 07-057r7, 6.1: a pixel of a screen is taken as 0.28 mm.
    const auto cases = fwtest::referenceCases("web_grid.txt", "WEB-SCALE");
    REQUIRE(cases.size() == 6);
    for (const auto& c : cases) {
        INFO(c.where);
        CHECK(c.met(webPixelM(static_cast<int>(c.number("zoom"))) / 0.00028));
    }
}

TEST_CASE("places come into the web's plane as in the registry's example", "[web]") {
    for (const auto& c : fwtest::referenceCases("web_grid.txt", "WEB-EAST"))
        CHECK(c.met(toWeb({c.number("lat_deg"), c.number("lon_deg")})->x));
    for (const auto& c : fwtest::referenceCases("web_grid.txt", "WEB-NORTH"))
        CHECK(c.met(toWeb({c.number("lat_deg"), c.number("lon_deg")})->y));
}

TEST_CASE("there and back meets, and nothing lies beyond the square", "[web]") {
    Random random(11);
    for (int k = 0; k < 2000; ++k) {
        const GeoPoint p{random.between(-85, 85), random.between(-180, 180)};
        const auto web = toWeb(p);
        REQUIRE(web);
        const GeoPoint back = fromWeb(*web);
        CHECK(std::fabs(back.latDeg - p.latDeg) < 1e-11); // rounding of doubles: 1e-16 of 1e2, some steps
        CHECK(std::fabs(back.lonDeg - p.lonDeg) < 1e-11);
    }
    CHECK_FALSE(toWeb({85.06, 0})); // the square ends at 85.0511 deg: OGC 17-083r4, D.1
    CHECK(toWeb({85.05, 0}));
    CHECK_FALSE(toWeb({-89, 0}));
}

TEST_CASE("the tile of a place is the one of the common formula", "[web]") {
    // Column floor(n (lon + 180) / 360), row floor(n (1 - arsinh(tan lat) / pi) / 2) with n = 2^zoom: the
    // form with the inverse hyperbolic sine, which shares no step with the plane's own.
    Random random(12);
    for (int k = 0; k < 2000; ++k) {
        const double lat = random.between(-85, 85), lon = random.between(-180, 180);
        const int zoom = static_cast<int>(random.below(23));
        const double n = std::ldexp(1.0, zoom), pi = std::numbers::pi;
        const auto col = static_cast<std::int64_t>(std::floor(n * (lon + 180) / 360)),
                   row = static_cast<std::int64_t>(
                       std::floor(n * (1 - std::asinh(std::tan(lat * pi / 180)) / pi) / 2));
        const auto web = toWeb({lat, lon});
        REQUIRE(web);
        const WebTileRange r = webTilesOver({web->x, web->y, web->x, web->y}, zoom);
        INFO(lat << " " << lon << " " << zoom);
        CHECK(r.count() == 1);
        CHECK(r.firstCol == col);
        CHECK(r.firstRow == row);
        CHECK(boundsOf(WebTile{zoom, col, row}).contains(*web));
    }
}

TEST_CASE("tiles over a box are those that share ground with it", "[web]") {
    const WebTile tile{12, 2020, 1400};
    const Box box = boundsOf(tile);
    const double inch = box.width() / 100;
    CHECK(webTilesOver(box.grown(-inch), 12).count() == 1);
    CHECK(webTilesOver(box.grown(inch), 12).count() == 9);
    CHECK(webTilesOver(box.grown(-inch), 13).count() == 4);
    CHECK(webTilesOver(box.grown(-inch), 13).contains({13, 4041, 2801}));
    CHECK_FALSE(webTilesOver(box.grown(-inch), 13).contains({13, 4042, 2801}));
    CHECK(webTilesOver(box, 11).count() == 1);
    CHECK(webTilesOver({}, 12).count() == 0);
    CHECK(webTilesOver({kWebHalfM + 10, 0, kWebHalfM + 20, 10}, 12).count() == 0);
    const WebTileRange world = webTilesOver({-3e7, -3e7, 3e7, 3e7}, 3);
    CHECK(world.count() == 64);
}

TEST_CASE("what a plan's box covers of the web's plane holds its own places", "[web]") {
    const auto frame = Frame::fromEpsg(32627);
    REQUIRE(frame);
    const Box plan{540000, 4080000, 548000, 4086000};
    const Box web = webBoundsOf(plan, *frame);
    Random random(13);
    for (int k = 0; k < 500; ++k) {
        const PlanePoint p{random.between(plan.x0, plan.x1), random.between(plan.y0, plan.y1)};
        const auto geo = frame->toGeo(p);
        REQUIRE(geo);
        CHECK(web.grown(1).contains(*toWeb(*geo))); // the edges bend by less than a metre over a kilometre
    }
}
