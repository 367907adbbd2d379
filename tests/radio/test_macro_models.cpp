// SPDX-License-Identifier: GPL-3.0-or-later
// What must hold for the further losses of macro cells, walls and shadowing besides their published values,
// which tests/calc runs from tests/reference.
#include "catch.h"
#include "radio/hata.h"
#include "radio/outdoor_to_indoor.h"
#include "radio/rural_macro.h"
#include "radio/shadowing.h"
#include "radio/tall_terminal.h"
#include "radio/urban_macro.h"

#include <cmath>
#include <limits>

using namespace fw;

TEST_CASE("rural macro: rises with distance, no sight never loses less, a step of a tenth at most",
          "[radio]") {
    for (const double mhz : {500.0, 800.0, 2600.0, 30000.0})
        for (const StreetGrid grid : {StreetGrid{5, 20}, StreetGrid{50, 5}, StreetGrid{10, 50}})
            for (const double hBs : {10.0, 35.0, 150.0}) {
                const Hertz f = megahertz(mhz);
                double before = 0;
                for (double d = 10; d < 10000; d *= 1.03) {
                    const double now = ruralLos(grid, d, hBs, 1.5, f).v;
                    REQUIRE(now > before);
                    REQUIRE(ruralNlos(grid, d, hBs, 1.5, f).v >= now);
                    before = now;
                }
                const double bp = ruralBreakpointM(hBs, 1.5, f);
                CHECK(ruralLos(grid, bp - 1e-6, hBs, 1.5, f).v ==
                      Approx(ruralLos(grid, bp + 1e-6, hBs, 1.5, f).v).margin(0.1));
            }
    // TR 38.901, Table 7.4.1-1: RMa 0.5 to 30 GHz, 10 m to 10 km with sight, 5 km without.
    CHECK(ruralRange({5, 20}, true, 10000, 35, 1.5, megahertz(800)).inside());
    CHECK(ruralRange({5, 20}, false, 10000, 35, 1.5, megahertz(800)).distance == Range::above);
    CHECK(ruralRange({4, 60}, true, 9, 9, 0.5, megahertz(400)).buildings == Range::below);
    CHECK(ruralRange({4, 60}, true, 9, 9, 0.5, megahertz(400)).streets == Range::above);
    CHECK(ruralRange({4, 60}, true, 9, 9, 0.5, megahertz(400)).station == Range::below);
    CHECK(ruralRange({4, 60}, true, 9, 9, 0.5, megahertz(400)).frequency == Range::below);
}

TEST_CASE("M.2135: rises with distance, a step of a tenth at most at the breakpoint", "[radio]") {
    for (const double mhz : {2000.0, 3500.0, 6000.0}) {
        const Hertz f = megahertz(mhz);
        const double bp = breakpointM(25, 1.5, f);
        CHECK(m2135UrbanLos(bp - 1e-6, 25, 1.5, f).v ==
              Approx(m2135UrbanLos(bp + 1e-6, 25, 1.5, f).v).margin(0.1));
        const double far = ruralBreakpointM(35, 1.5, f);
        CHECK(m2135SuburbanLos({10, 20}, far - 1e-6, 35, 1.5, f).v ==
              Approx(m2135SuburbanLos({10, 20}, far + 1e-6, 35, 1.5, f).v).margin(1e-6));
        for (double d = 10; d < 5000; d *= 1.1) {
            REQUIRE(m2135UrbanLos(d * 1.1, 25, 1.5, f).v > m2135UrbanLos(d, 25, 1.5, f).v);
            REQUIRE(m2135SuburbanLos({10, 20}, d * 1.1, 35, 1.5, f).v >
                    m2135SuburbanLos({10, 20}, d, 35, 1.5, f).v);
            REQUIRE(m2135Nlos({20, 20}, d * 1.1, 25, 1.5, f).v > m2135Nlos({20, 20}, d, 25, 1.5, f).v);
        }
    }
}

TEST_CASE("Hata: ordered by area, rising with distance, and both forms close where they meet", "[radio]") {
    for (double km = 1; km < 20; km *= 1.2)
        for (const double hb : {30.0, 70.0, 200.0}) {
            const Hertz f = megahertz(900);
            const auto loss = [&](HataArea area, double at) {
                return hataLoss(HataCity::smallOrMedium, area, at, hb, 1.5, f).v;
            };
            REQUIRE(loss(HataArea::open, km) < loss(HataArea::suburban, km));
            REQUIRE(loss(HataArea::suburban, km) < loss(HataArea::urban, km));
            REQUIRE(loss(HataArea::urban, km * 1.01) > loss(HataArea::urban, km));
            // 1500 MHz is the end of the one and the beginning of the other; the fits differ by 1.33 dB
            // there: 69.55 + 26.16 log10 1500 against 46.3 + 33.9 log10 1500.
            REQUIRE(costHataLoss(0, km, hb, 1.5, megahertz(1500)).v ==
                    Approx(hataLoss(HataCity::smallOrMedium, HataArea::urban, km, hb, 1.5, megahertz(1500)).v)
                        .margin(1.4));
        }
    CHECK(costHataLoss(3, 2, 40, 1.5, megahertz(1800)).v ==
          Approx(costHataLoss(0, 2, 40, 1.5, megahertz(1800)).v + 3).margin(1e-12));
    CHECK(hataRange(1, 30, 1, megahertz(150)).inside());
    CHECK(hataRange(0.99, 29, 0.9, megahertz(1501)).distance == Range::below);
    CHECK(hataRange(0.99, 29, 0.9, megahertz(1501)).station == Range::below);
    CHECK(hataRange(0.99, 29, 0.9, megahertz(1501)).terminal == Range::below);
    CHECK(hataRange(0.99, 29, 0.9, megahertz(1501)).frequency == Range::above);
    CHECK(costHataRange(20, 200, 10, megahertz(2000)).inside());
    CHECK(costHataRange(20, 200, 10, megahertz(2100)).frequency == Range::above);
}

TEST_CASE("walls: high loses more than low, both rise with frequency and lie between their parts",
          "[radio]") {
    for (double mhz = 500; mhz < 100000; mhz *= 1.2) {
        const Hertz f = megahertz(mhz);
        const double low = wallLoss(WallKind::low, f).v, high = wallLoss(WallKind::high, f).v;
        REQUIRE(wallLoss(WallKind::low, megahertz(mhz * 1.2)).v > low);
        REQUIRE(wallLoss(WallKind::high, megahertz(mhz * 1.2)).v > high);
        if (mhz > 1600) REQUIRE(high > low);
        // A mixture of openings lies between its materials; 5 dB for oblique incidence stands outside.
        REQUIRE(low - 5 > materialLoss(WallMaterial::glass, f).v);
        REQUIRE(low - 5 < materialLoss(WallMaterial::concrete, f).v);
    }
    CHECK(penetrationRange(megahertz(499)) == Range::below);
}

TEST_CASE("shadowing: 1 at one place, 1/e at the correlation distance, falling", "[radio]") {
    for (const auto scenario : {UrbanScenario::micro, UrbanScenario::macro})
        for (const auto state : {UrbanState::sight, UrbanState::noSight, UrbanState::indoors}) {
            const Shadowing s = shadowingOf(scenario, state);
            CHECK(shadowingCorrelation(s, 0) == 1);
            CHECK(shadowingCorrelation(s, s.correlationM) == Approx(std::exp(-1.0)).epsilon(1e-12));
            CHECK(shadowingCorrelation(s, 100) < shadowingCorrelation(s, 99));
        }
}

TEST_CASE("upper floors: 1 m is certain up to 13 m, and the mean lies between the draws", "[radio]") {
    const Hertz f = megahertz(1800);
    for (double d = 10; d < 5000; d *= 1.3) {
        for (const double hUt : {1.5, 8.0, 12.9}) {
            CHECK(environmentHeights(d, hUt).oneMetreChance == 1);
            CHECK(umaLosMean(d, 25, hUt, f).v == umaLos(d, 25, hUt, f).v);
        }
        const auto heights = environmentHeights(d, 22.5);
        REQUIRE(heights.oneMetreChance > 0);
        REQUIRE(heights.oneMetreChance <= 1);
        if (d <= 18) continue;
        // 12, 15, 18 and 21 m are at or below 22.5 - 1.5 m.
        REQUIRE(heights.others == std::vector<double>{12, 15, 18, 21});
        const double low = umaLos(d, 25, 22.5, f).v, high = umaLosOver(21, d, 25, 22.5, f).v;
        REQUIRE(umaLosMean(d, 25, 22.5, f).v >= low - 1e-9);
        REQUIRE(umaLosMean(d, 25, 22.5, f).v <= std::max(low, high) + 1e-9);
    }
    CHECK(std::isfinite(umaLosMean(1e9, 25, 22.5, f).v));
}
