// SPDX-License-Identifier: GPL-3.0-or-later
// What must hold for the short-range models of Rec. ITU-R P.1411 besides their published values, which
// tests/calc runs from tests/reference.
#include "catch.h"
#include "radio/free_space.h"
#include "radio/low_terminal.h"
#include "radio/over_rooftop.h"
#include "radio/site_general_spread.h"

#include <cmath>
#include <limits>

using namespace fw;

TEST_CASE("low terminals: loss rises with distance and share, without a step at either end of the transition",
          "[radio]") {
    const Hertz f = megahertz(2600);
    for (const auto area : {LowTerminalArea::suburban, LowTerminalArea::urban, LowTerminalArea::denseUrban})
        for (const double p : {0.01, 0.1, 0.449, 0.5, 0.9, 0.99}) {
            double before = -1e9;
            for (double d = 1; d < 5000; d *= 1.01) {
                const double now = lowTerminalLoss(area, d, f, p).v;
                REQUIRE(now > before);
                before = now;
            }
            for (const double border : {lowTerminalSightM(p), lowTerminalSightM(p) + 20})
                CHECK(lowTerminalLoss(area, border - 1e-9, f, p).v ==
                      Approx(lowTerminalLoss(area, border + 1e-9, f, p).v).margin(1e-6));
            CHECK(lowTerminalLoss(area, 200, f, p + 0.005).v > lowTerminalLoss(area, 200, f, p).v);
        }
    // The source's two laws for the reach meet to a centimetre at 45 %: 212 log10(0.45)^2 - 64 log10(0.45) =
    // 47.690, 79.2 - 31.5 = 47.7.
    CHECK(lowTerminalSightM(0.45 - 1e-9) == Approx(47.690).margin(1e-3));
    CHECK(lowTerminalSightM(0.45) == Approx(47.7).margin(1e-9));
    CHECK(lowTerminalRange(megahertz(299)) == Range::below);
    CHECK(lowTerminalRange(megahertz(3000)) == Range::inside);
    CHECK(lowTerminalRange(megahertz(3500)) == Range::above);
}

TEST_CASE("over roofs: never below free space, rising with distance within each law", "[radio]") {
    const Hertz f = megahertz(2600);
    RoofRows town;
    town.roofM = 20;
    for (const double length : {20.0, 2000.0})
        for (const double station : {8.0, 15.0, 20.0, 26.0, 40.0}) {
            town.lengthM = length;
            double before = 0;
            bool many = true;
            for (double d = 50; d < 5000; d *= 1.02) {
                const OverRooftop r = overRooftopLoss(town, d, station, 1.5, f);
                REQUIRE(r.total.v >= r.freeSpace.v);
                const bool manyNow = town.lengthM > r.settledM;
                if (d > 50 && many == manyNow) REQUIRE(r.total.v > before);
                before = r.total.v;
                many = manyNow;
            }
        }
    // A higher station sees more of the last roof; a street along the path opens to it.
    town.lengthM = 80;
    CHECK(overRooftopLoss(town, 900, 40, 1.5, f).total.v < overRooftopLoss(town, 900, 26, 1.5, f).total.v);
    town.orientationDeg = 0;
    CHECK(overRooftopLoss(town, 900, 40, 1.5, f).roofToStreet.v ==
          Approx([&] {
              RoofRows across = town;
              across.orientationDeg = 55;
              return overRooftopLoss(across, 900, 40, 1.5, f).roofToStreet.v - 14.0;
          }())
              .margin(1e-9)); // 4.2.2.1: -10 dB along the path, 4.0 dB at 55 deg
    CHECK(std::isinf(overRooftopLoss(town, 900, 20, 1.5, f).settledM));
    CHECK(overRooftopRange(500, 10, 1.5, f).inside());
    CHECK(overRooftopRange(19, 3.9, 3.1, megahertz(700)).distance == Range::below);
    CHECK(overRooftopRange(19, 3.9, 3.1, megahertz(700)).station == Range::below);
    CHECK(overRooftopRange(19, 3.9, 3.1, megahertz(700)).terminal == Range::above);
    CHECK(overRooftopRange(19, 3.9, 3.1, megahertz(700)).frequency == Range::below);
}

TEST_CASE("variability: no place without sight loses less than free space, the share orders the losses",
          "[radio]") {
    const Hertz f = megahertz(2600);
    for (const SiteGeneral& row : {p1411v11::belowRoofNlosHighRise, p1411v11::belowRoofNlosResidential,
                                   p1411v13::belowRoofNlosLowRise, p1411v11::aboveRoofNlosHighRise})
        for (double d = 5; d < 1200; d *= 1.3) {
            double before = 0;
            for (const double share : {1e-9, 1e-4, 0.01, 0.1, 0.5, 0.9, 0.999}) {
                const double loss = siteGeneralLossAt(row, false, d, f, share).v;
                REQUIRE(loss >= freeSpaceLoss(d, f).v);
                REQUIRE(loss > before);
                before = loss;
            }
            // Far above free space the two forms are one.
            REQUIRE(siteGeneralLossAt(row, false, d, f, 0.999).v >= siteGeneralLoss(row, d, f).v);
        }
    const SiteGeneral& los = p1411v11::belowRoofLos;
    CHECK(siteGeneralLossAt(los, true, 100, f, 0.5).v == siteGeneralLoss(los, 100, f).v);
    // Standard normal: 84.134 % lie below one spread.
    CHECK(siteGeneralLossAt(los, true, 100, f, 0.8413447461).v ==
          Approx(siteGeneralLoss(los, 100, f).v + 5.06).margin(1e-5));
}
