// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/random.h"
#include "catch.h"
#include "surface/sight_scan.h"

#include <cmath>
#include <cstdlib>
#include <cstring>

using namespace fw;

namespace {

/// A surface of random columns: every cell of the terrain is one of the grid, so nothing is smooth.
Surface randomSurface(Random& r, double heightM) {
    auto t = std::make_shared<Terrain>();
    t->heights = Grid<float>(0, 0, 2, 512, 512);
    for (float& h : t->heights.cells) h = static_cast<float>(r.chance(0.2) ? r.between(0, heightM) : 0.0);
    return SurfaceBuilder::build({0, 0, 1000, 1000}, 2, t, {}, {}, 1);
}

bool sameBytes(const std::vector<float>& a, const std::vector<float>& b) {
    return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size() * sizeof(float)) == 0;
}

int halfUp(int a, int b) { return static_cast<int>(std::floor((2.0 * a + b) / (2.0 * b))); }

struct Edge {
    double slope = -1e9, distM = 0, second = -1e9; ///< second: the next steepest, to know a near tie
    bool ownCells = true;                          ///< the cell's nearest ray meets the same cells as its own
};

/// March of the ray that the kernel takes for this cell, in double: ray k of the sector with k = round(j R /
/// i).
Edge marchNearestRay(const SightScan& s, int dx, int dy, double bulge) {
    const bool upright = std::abs(dy) >= std::abs(dx);
    const int rows = upright ? std::abs(dy) : std::abs(dx), across = upright ? dx : dy;
    const int sign = (upright ? dy : dx) < 0 ? -1 : 1;
    Edge e;
    if (rows == 0) return e;
    const int ray = halfUp(across * s.radius, rows);
    const double lean = double(ray) / s.radius, run = s.cellM * std::sqrt(1 + lean * lean);
    for (int m = 1; m < rows; ++m) {
        const int col = halfUp(ray * m, s.radius);
        if (col != halfUp(across * m, rows)) e.ownCells = false;
        const double top = s.top[upright ? s.index(col, sign * m) : s.index(sign * m, col)];
        const double d = run * m, slope = (top - s.antennaAmsl) / d - d * bulge;
        if (slope > e.slope) {
            e.second = e.slope;
            e.slope = slope;
            e.distM = d;
        } else if (slope > e.second) {
            e.second = slope;
        }
    }
    return e;
}

} // namespace

TEST_CASE("the sweep marches each cell's nearest ray; the reference marches its own", "[scan]") {
    const std::uint64_t seed = 20260214;
    INFO("seed " << seed);
    Random r(seed);
    for (int round = 0; round < 6; ++round) {
        const Surface s = randomSurface(r, 25);
        ScanSpec spec;
        spec.at = {r.between(350, 650), r.between(350, 650)};
        spec.antennaAmsl = r.between(3, 30);
        spec.radiusCells = 60 + static_cast<int>(r.below(100));
        spec.earthBulge = round % 2 == 0;
        SightScan fast, slow;
        scanSight(s, spec, fast);
        scanSightReference(s, spec, slow);
        REQUIRE(sameBytes(fast.top, slow.top));
        const double bulge = spec.earthBulge ? 0.5 / (4.0 / 3.0 * 6371000.0) : 0.0;
        int cells = 0, alike = 0, sameEdge = 0;
        for (int dy = -fast.radius; dy <= fast.radius; ++dy)
            for (int dx = -fast.radius; dx <= fast.radius; ++dx) {
                const std::size_t k = fast.index(dx, dy);
                if (!fast.covers(dx, dy)) {
                    REQUIRE(fast.edgeSlope[k] == -1e9f);
                    REQUIRE(slow.edgeSlope[k] == -1e9f);
                    continue;
                }
                const Edge e = marchNearestRay(fast, dx, dy, bulge);
                // Antenna and height difference are rounded to floats below 64 m (half a unit: 2e-6 m each),
                // then five operations of 6e-8 each follow.
                const double tolerance = 4e-6 / std::max(e.distM, 2.0) + 5e-7 * std::fabs(e.slope);
                REQUIRE(std::fabs(fast.edgeSlope[k] - e.slope) <= tolerance);
                if (e.slope - e.second > 2 * tolerance)
                    REQUIRE(fast.edgeDistM[k] == Approx(e.distM).epsilon(1e-6));
                ++cells;
                sameEdge += std::fabs(fast.edgeSlope[k] - slow.edgeSlope[k]) <=
                            std::fabs(slow.edgeSlope[k]) * (0.25 / fast.radius + 1e-5) + 1e-6;
                // Where both rays meet the same cells, they differ only in length: their leans differ by at
                // most 1 / (2 R), the lengths by at most half of that in proportion.
                if (!e.ownCells) continue;
                ++alike;
                if (slow.edgeSlope[k] == -1e9f)
                    REQUIRE(fast.edgeSlope[k] == -1e9f);
                else
                    REQUIRE(std::fabs(fast.edgeSlope[k] - slow.edgeSlope[k]) <=
                            std::fabs(slow.edgeSlope[k]) * (0.25 / fast.radius + 1e-5) + 1e-6);
            }
        // The two rays part by at most half a cell at the far end, so that the edge itself is mostly one
        // cell for both, though on white noise some sample on the way nearly always differs.
        INFO(alike << " rays and " << sameEdge << " edges alike of " << cells);
        CHECK(alike > cells / 10);
        CHECK(sameEdge > cells / 2);
    }
}

TEST_CASE("the sweep has the same bytes with and without AVX2", "[scan]") {
    const std::uint64_t seed = 31;
    INFO("seed " << seed);
    Random r(seed);
    for (int round = 0; round < 12; ++round) {
        const Surface s = randomSurface(r, 40);
        ScanSpec spec;
        spec.at = {r.between(0, 1000), r.between(0, 1000)};
        spec.antennaAmsl = r.between(-5, 50);
        spec.radiusCells = 1 + static_cast<int>(r.below(200));
        spec.overview = 1 + round % 2;
        const double receiverM = r.between(-1, 10);
        SightScan a, b, sight, sightPlain;
        std::vector<std::uint8_t> seen, seenPlain, seenOnly;
        scanSight(s, spec, a);
        visibleAt(a, receiverM, seen);
        spec.sightOnly = true;
        scanSight(s, spec, sight);
        visibleAt(sight, receiverM, seenOnly);
        setScanKernelPlain(true);
        scanSight(s, spec, sightPlain);
        spec.sightOnly = false;
        scanSight(s, spec, b);
        visibleAt(b, receiverM, seenPlain);
        setScanKernelPlain(false);
        REQUIRE(a.stride == b.stride);
        REQUIRE(sameBytes(a.edgeSlope, b.edgeSlope));
        REQUIRE(sameBytes(a.edgeDistM, b.edgeDistM));
        REQUIRE(sight.edgeDistM.empty());
        REQUIRE(sameBytes(a.edgeSlope, sight.edgeSlope));
        REQUIRE(sameBytes(a.edgeSlope, sightPlain.edgeSlope));
        REQUIRE(seen == seenPlain);
        REQUIRE(seen == seenOnly);
    }
}

TEST_CASE("behind a wall the worst edge is the wall", "[scan]") {
    // A wall 10 m high, 40 to 44 m east of an antenna at 6 m: its near row of cells, centres 42 m away (the
    // antenna's cell has its centre at x = 501, the wall's first at 543), gives the slope (10 - 6) / 42.
    const auto flat = std::make_shared<Terrain>();
    const Prism wall{ItemId{1}, {{{542, 300}, {546, 300}, {546, 700}, {542, 700}}, {}}, 10, 0};
    const Surface s = SurfaceBuilder::build({0, 0, 1000, 1000}, 2, flat, {wall}, {});
    ScanSpec spec;
    spec.at = {500.5, 500.5};
    spec.antennaAmsl = 6;
    spec.earthBulge = false;
    SightScan out;
    scanSight(s, spec, out);
    CHECK(out.centre == PlanePoint{501, 501});
    CHECK(out.edgeSlope[out.index(100, 0)] == Approx(4.0 / 42));
    CHECK(out.edgeDistM[out.index(100, 0)] == Approx(42));
    // In front of it only ground at 0 m: the farthest cell strictly between is the steepest.
    CHECK(out.edgeSlope[out.index(10, 0)] == Approx(-6.0 / 18));
    CHECK(out.edgeSlope[out.index(1, 0)] == -1e9f);
    CHECK(out.edgeDistM[out.index(1, 0)] == 0);
    // Bulge of 4/3 earth at 2 km is 4e6 / (2 x 8494.7 km) = 0.2354 m (Rec. ITU-R P.526 and P.310, k = 4/3).
    spec.earthBulge = true;
    SightScan bulged;
    scanSight(s, spec, bulged);
    CHECK(out.edgeSlope[out.index(100, 0)] - bulged.edgeSlope[out.index(100, 0)] ==
          Approx(42 / (2 * 8494667.0)).margin(2e-8)); // a float's unit at 0.095 is 7e-9
    // The carrying building does not stand in its own way.
    spec.ownPrism = 0;
    scanSight(s, spec, out);
    CHECK(out.edgeSlope[out.index(100, 0)] < 0);
}

TEST_CASE("the visible mask is the sight condition in double, cell by cell", "[scan]") {
    const std::uint64_t seed = 77;
    INFO("seed " << seed);
    Random r(seed);
    SightScan scan;
    std::vector<std::uint8_t> mask; // kept from round to round: what an earlier one left must not show
    for (int round = 0; round < 8; ++round) {
        const Surface s = randomSurface(r, 25);
        ScanSpec spec;
        spec.at = {r.between(300, 700), r.between(300, 700)};
        spec.antennaAmsl = r.between(3, 30);
        spec.radiusCells = 1 + static_cast<int>(r.below(140));
        spec.earthBulge = round % 2 == 0;
        const double receiverM = r.between(0, 5);
        scanSight(s, spec, scan);
        visibleAt(scan, receiverM, mask);
        REQUIRE(mask.size() == scan.top.size());
        const double bulge = spec.earthBulge ? 0.5 / (4.0 / 3.0 * 6371000.0) : 0.0;
        std::vector<std::uint8_t> want(mask.size(), 0);
        int seen = 0, close = 0;
        for (int dy = -scan.radius; dy <= scan.radius; ++dy)
            for (int dx = -scan.radius; dx <= scan.radius; ++dx) {
                if (!scan.covers(dx, dy)) continue;
                const std::size_t k = scan.index(dx, dy);
                const double d = scan.cellM * std::sqrt(double(dx * dx + dy * dy));
                const double over = scan.top[k] + receiverM - scan.antennaAmsl - d * d * bulge -
                                    double{scan.edgeSlope[k]} * d;
                want[k] = (dx == 0 && dy == 0) || over > 0;
                seen += want[k];
                // Heights and slope times distance stay below 64 m times a hundred or so: a dozen roundings
                // of 6e-8 each. Within that, either side is right.
                if (scan.edgeSlope[k] > -1e8f &&
                    std::fabs(over) < 6e-8 * 12 * (64 + std::fabs(scan.edgeSlope[k]) * d)) {
                    want[k] = mask[k];
                    ++close;
                }
            }
        REQUIRE(mask == want);
        CHECK(seen > 0);
        CHECK(close <= seen / 100 + 2);
    }
}
