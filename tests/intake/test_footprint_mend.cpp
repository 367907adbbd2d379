// SPDX-License-Identifier: GPL-3.0-or-later
// Held beside GEOS: what is valid, and what area remains.
#include "base/random.h"
#include "catch.h"
#include "intake/footprint_mend.h"
#include "intake/ogr_files.h"

#include <cpl_error.h>

using namespace fw;
using namespace fw::testing;

namespace {

std::unique_ptr<OGRGeometry> ogrOf(const Polygon& p) {
    WrittenRow row;
    row.areas = {p};
    return geometryOf(row);
}

bool validToGeos(const Polygon& p) {
    CPLPushErrorHandler(CPLQuietErrorHandler);
    const bool valid = ogrOf(p)->IsValid() != 0;
    CPLPopErrorHandler();
    return valid;
}

Ring randomRing(Random& random, int corners, double size, double wild, PlanePoint at = {0, 0}) {
    // Corners round a centre; `wild` shifts them, up to rings that cross themselves.
    Ring ring;
    for (int k = 0; k < corners; ++k) {
        const double angle = 6.283185307179586 * k / corners;
        const double r = size * random.between(0.6, 1.0);
        ring.push_back({at.x + r * std::cos(angle) + wild * random.between(-1, 1),
                        at.y + r * std::sin(angle) + wild * random.between(-1, 1)});
    }
    return ring;
}

} // namespace

TEST_CASE("an outline that is called valid is valid to GEOS, and hardly one is missed", "[mend]") {
    const std::uint64_t seed = 21;
    INFO("seed " << seed);
    Random random(seed);
    int valid = 0, sure = 0;
    for (int k = 0; k < 6000; ++k) {
        const double size = random.between(3, 60), wild = random.chance(0.5) ? 0 : size * random.unit();
        Polygon p{randomRing(random, 3 + int(random.below(40)), size, wild, {700000, 5900000}), {}};
        if (random.chance(0.4))
            p.holes.push_back(randomRing(random, 3 + int(random.below(6)), size * random.between(0.1, 0.9),
                                         wild / 4, {700000, 5900000}));
        if (random.chance(0.2))
            p.holes.push_back(randomRing(random, 4, size * 0.2, 0, {700000 + size / 2, 5900000}));
        if (random.chance(0.1)) p.outer.push_back(p.outer[1]); // touches itself
        const bool really = validToGeos(p), ours = surelyValid(p);
        if (ours) REQUIRE(really);
        valid += really;
        sure += ours;
    }
    CHECK(valid > 1500);
    CHECK(valid < 5000);
    CHECK(sure >= valid * 0.999);
}

TEST_CASE("what is mended is valid and keeps the area that GEOS makes of it", "[mend]") {
    const std::uint64_t seed = 22;
    INFO("seed " << seed);
    Random random(seed);
    MendTally tally;
    int invalid = 0;
    for (int k = 0; k < 1500; ++k) {
        Polygon p{randomRing(random, 4 + int(random.below(12)), 20, 14, {700000, 5900000}), {}};
        const bool really = validToGeos(p);
        const auto before = tally;
        const auto parts = mendedFootprint(p, tally);
        double area = 0;
        for (const Polygon& part : parts) {
            CHECK(validToGeos(part));
            CHECK(areaOf(part) >= 1);
            CHECK(signedArea(part.outer) > 0);
            area += areaOf(part);
        }
        if (really) {
            CHECK(tally.mended == before.mended);
            CHECK(parts.size() == 1);
        }
        invalid += !really;
        CPLStringList options;
        options.SetNameValue("METHOD", "STRUCTURE");
        const std::unique_ptr<OGRGeometry> made(ogrOf(p)->MakeValid(options.List()));
        double expected = 0;
        if (wkbFlatten(made->getGeometryType()) == wkbPolygon)
            expected = made->toPolygon()->get_Area();
        else
            expected = made->toGeometryCollection()->get_Area();
        CHECK(area <= expected + 1e-3);
        CHECK(area >= expected - double(tally.slivers - before.slivers) - 1e-3);
    }
    CHECK(invalid > 500);
    CHECK(tally.mended == invalid);
}

TEST_CASE("known outlines come out as anybody would draw them", "[mend]") {
    MendTally tally;
    SECTION("a bow tie is two triangles") {
        const auto parts = mendedFootprint({{{0, 0}, {10, 10}, {10, 0}, {0, 10}}, {}}, tally);
        REQUIRE(parts.size() == 2);
        CHECK(areaOf(parts[0]) == Approx(25));
        CHECK(areaOf(parts[1]) == Approx(25));
        CHECK(tally.mended == 1);
    }
    SECTION("a square drawn twice round is the square") {
        const auto parts =
            mendedFootprint({{{0, 0}, {9, 0}, {9, 9}, {0, 9}, {0, 0}, {9, 0}, {9, 9}, {0, 9}}, {}}, tally);
        REQUIRE(parts.size() == 1);
        CHECK(areaOf(parts[0]) == Approx(81));
    }
    SECTION("a spike goes") {
        const auto parts =
            mendedFootprint({{{0, 0}, {10, 0}, {30, 0}, {10, 0}, {10, 10}, {0, 10}}, {}}, tally);
        REQUIRE(parts.size() == 1);
        CHECK(areaOf(parts[0]) == Approx(100));
        CHECK(boundsOf(parts[0]).x1 == Approx(10));
    }
    SECTION("a sliver beside the house is dropped and counted") {
        const auto parts =
            mendedFootprint({{{0, 0}, {10, 0}, {10, 10}, {-0.2, 10}, {0.2, 12}, {0, 10}}, {}}, tally);
        CHECK(parts.size() == 1);
    }
    SECTION("a kiosk of less than 1 m2 is a sliver") {
        CHECK(mendedFootprint({{{0, 0}, {0.9, 0}, {0.9, 0.9}, {0, 0.9}}, {}}, tally).empty());
        CHECK(tally.slivers == 1);
        CHECK(tally.lost == 0);
    }
    SECTION("a line drawn as an area has none") {
        CHECK(mendedFootprint({{{0, 0}, {10, 0}, {20, 0}}, {}}, tally).empty());
        CHECK(mendedFootprint({{{0, 0}, {0, 0}, {5, 5}}, {}}, tally).empty());
        CHECK(tally.lost == 2);
        CHECK(tally.mended == 0);
    }
    SECTION("a hole outside the house is none") {
        const auto parts =
            mendedFootprint({{{0, 0}, {10, 0}, {10, 10}, {0, 10}}, {{{20, 0}, {20, 5}, {25, 5}}}}, tally);
        REQUIRE_FALSE(parts.empty());
        CHECK(tally.mended == 1);
    }
}
