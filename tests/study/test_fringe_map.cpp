// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "fringe/fringe_area.h"
#include "study/fringe_map.h"
#include "support/random_plan.h"

using namespace fw;

// Hand-worked: a square ring of pixels, 20 x 20 with a 10 x 10 hole.
TEST_CASE("outlines of a ring of pixels", "[fringe]") {
    Grid<std::uint8_t> m(1000, 2000, 4, 40, 40, 0);
    for (int y = 5; y < 25; ++y)
        for (int x = 5; x < 25; ++x) m.at(x, y) = !(x >= 10 && x < 20 && y >= 10 && y < 20);
    const auto p = outlines(m);
    REQUIRE(p.size() == 1);
    REQUIRE(p[0].holes.size() == 1);
    CHECK(areaOf(p[0]) == Approx((400 - 100) * 16.0));
    CHECK(signedArea(p[0].outer) > 0);
    CHECK(signedArea(p[0].holes[0]) < 0);
}

TEST_CASE("pixels that touch by a corner stay two areas", "[fringe]") {
    Grid<std::uint8_t> m(0, 0, 4, 8, 8, 0);
    m.at(2, 2) = m.at(3, 3) = 1;
    const auto p = outlines(m);
    REQUIRE(p.size() == 2);
    CHECK(areaOf(p[0]) == Approx(16));
    CHECK(areaOf(p[1]) == Approx(16));
}

// The area of a mask is the number of its pixels: outlines without simplification must give it back on any
// mask.
TEST_CASE("outlines keep the area of random masks", "[fringe]") {
    Random r(4);
    for (int k = 0; k < 200; ++k) {
        Grid<std::uint8_t> m(0, 0, 4, 24, 20, 0);
        const double fill = r.between(0.1, 0.9);
        int n = 0;
        for (auto& c : m.cells) n += c = r.chance(fill);
        double area = 0;
        for (const Polygon& p : outlines(m, 0)) area += areaOf(p);
        REQUIRE(area == Approx(16.0 * n));
    }
}

TEST_CASE("a fringe holds half of the cost and becomes areas by one edit", "[fringe][study]") {
    Random r(3);
    Plan plan = testing::randomPlan(r, {});
    auto terrain = std::make_shared<Terrain>();
    terrain->flatM = 12;
    const auto study = Study::advance(nullptr, plan, terrain);
    REQUIRE(study.ok());
    int found = 0;
    for (const MacroCell& c : (*study)->macroCells()) {
        const FringeMap f = fringeOf(**study, c.id);
        if (f.areas.empty()) continue;
        ++found;
        CHECK(f.costShare >= 0.5);
        // The last class is taken whole: an eighth of an octave of density, so not much more than half.
        CHECK(f.costShare < 0.75);
        const auto e = fringeToAreas(**study, f);
        REQUIRE(e.ok());
        Plan after = plan;
        const auto inverse = apply(after, *e);
        REQUIRE(inverse.ok());
        CHECK(after.congestionAreas.size() == plan.congestionAreas.size() + f.areas.size());
        REQUIRE(apply(after, *inverse).ok());
        CHECK(after == plan);
    }
    CHECK(found >= 4);
}
