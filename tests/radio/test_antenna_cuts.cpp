// SPDX-License-Identifier: GPL-3.0-or-later
// What is read off an antenna as it hangs, against the formulas of 3GPP TR 36.814, table A.2.1.1-2 by hand.
#include "catch.h"
#include "radio/antenna_cuts.h"

#include <cmath>

using namespace fw;

namespace {

HungAntenna panel(double mechanical, double electrical) {
    return {"S1", "", Pattern(ParabolicCuts{17, 65, 8, 25, 20}), mechanical, electrical};
}

} // namespace

TEST_CASE("parabolic cuts: half power, front to back and the tilt are what was entered", "[antenna]") {
    const AntennaCuts c = cutsOf(panel(2, 4));
    CHECK(c.halfPower.horizontalDeg == 65);
    CHECK(c.halfPower.verticalDeg == 8);
    CHECK(c.frontToBackDb == Approx(25));
    CHECK(c.tiltDeg == 6);
    CHECK(c.ownTiltDeg == 0);
    for (int deg = 0; deg < 360; ++deg) {
        const double off = deg > 180 ? deg - 360 : deg;
        // Across: min(12 (phi / 65)^2, 25), to the 0.01 dB of a table.
        CHECK(c.horizontal[static_cast<std::size_t>(deg)] ==
              Approx(std::min(12 * off * off / (65.0 * 65.0), 25.0)).margin(0.006));
    }
    // Upright in front: both tilts shift the beam down alike.
    for (int deg = -20; deg <= 40; ++deg) {
        const double off = deg - 6;
        CHECK(c.vertical[static_cast<std::size_t>((deg + 360) % 360)] ==
              Approx(std::min(12 * off * off / 64.0, 20.0)).margin(1e-6));
        CHECK(c.untilted[static_cast<std::size_t>((deg + 360) % 360)] ==
              Approx(std::min(12.0 * deg * deg / 64.0, 20.0)).margin(1e-6));
    }
    // Behind nothing is less than 25 dB below.
    CHECK(c.vertical[180] == Approx(25));
    // The bracket lifts the back as it lowers the front, the electrical tilt lowers both (TR 36.814,
    // A.2.1.6.1.2).
    AntennaCut wide;
    wide.gainDbi = 10;
    for (int deg = -180; deg < 180; deg += 2) {
        wide.horizontalDeg.push_back(deg);
        wide.horizontalLossDb.push_back(std::fabs(static_cast<double>(deg)) / 18);
        wide.verticalDeg.push_back(deg);
        const double aside = std::fabs(deg) > 90 ? 180 - std::fabs(static_cast<double>(deg)) : std::fabs(deg);
        wide.verticalLossDb.push_back(aside / 3);
    }
    const auto least = [](const std::array<double, 360>& cut, int from, int to) {
        int best = from;
        for (int k = from; k <= to; ++k)
            if (cut[static_cast<std::size_t>(k % 360)] < cut[static_cast<std::size_t>(best % 360)]) best = k;
        return best;
    };
    const Pattern p(cutTableOf(wide));
    CHECK(least(cutsOf({"", "w", p, 10, 0}).vertical, 150, 210) == 190); // below 0 in front, above it behind
    CHECK(least(cutsOf({"", "w", p, 0, 10}).vertical, 150, 210) == 170);
}

TEST_CASE("a measured cut brings its own tilt and its own back", "[antenna]") {
    AntennaCut cut;
    cut.gainDbi = 15;
    for (int deg = -180; deg < 180; deg += 2) {
        const double h = deg;
        cut.horizontalDeg.push_back(deg);
        // 22 dB behind, but for a lobe of 16 dB at 160 deg.
        cut.horizontalLossDb.push_back(deg == 160 ? 16.0 : std::min(12 * h * h / (70.0 * 70.0), 22.0));
        const double v = deg + 6; // strongest 6 deg below the horizon
        cut.verticalDeg.push_back(deg);
        cut.verticalLossDb.push_back(std::fabs(v) > 90 ? 22 : std::min(12 * v * v / (9.0 * 9.0), 22.0));
    }
    const HungAntenna hung{"S1", "Panel 70", Pattern(cutTableOf(cut)), 3, 0};
    const AntennaCuts c = cutsOf(hung);
    CHECK(c.ownTiltDeg == Approx(6));
    CHECK(c.tiltDeg == Approx(9));
    CHECK(c.frontToBackDb == Approx(16)); // within 30 deg of straight behind
    // 3 dB below by 12 (x / w)^2 lies at w / 2 = 35 and 4.5 deg; straight lines over 2 deg cut the corner.
    CHECK(c.halfPower.horizontalDeg == Approx(70).margin(0.1));
    CHECK(c.halfPower.verticalDeg == Approx(9).margin(0.2));
    CHECK(workingOfFrontToBack(hung).steps.back().value == Approx(16));
    CHECK(workingOfHalfPower(hung, true).steps.back().value == c.halfPower.horizontalDeg);
    CHECK(workingOfHalfPower(hung, false).steps.back().value == c.halfPower.verticalDeg);
}

TEST_CASE("each sector and radio has the antenna it names, and what hangs on it the same", "[antenna]") {
    Plan plan;
    AntennaCut cut;
    cut.id = {1};
    cut.name = "Round";
    cut.gainDbi = 5;
    for (int deg = 0; deg < 360; deg += 30) {
        cut.horizontalDeg.push_back(deg);
        cut.horizontalLossDb.push_back(0);
        cut.verticalDeg.push_back(deg);
        cut.verticalLossDb.push_back(deg > 90 && deg < 270 ? 0 : deg % 180 / 30.0);
    }
    plan.antennaCuts.put(cut);
    Sector s;
    s.id = {2};
    s.mechanicalTiltDeg = 1;
    Sector other = s;
    other.id = {3};
    other.antenna = cut.id;
    plan.sectors.put(s);
    plan.sectors.put(other);
    Cell c;
    c.id = {4};
    c.sector = other.id;
    plan.cells.put(c);
    Radio r;
    r.id = {5};
    r.tiltDeg = 8;
    plan.radios.put(r);
    REQUIRE(hungAntenna(plan, s.id));
    CHECK(hungAntenna(plan, s.id)->patternName.empty());
    CHECK(hungAntenna(plan, s.id)->pattern.maxGainDbi() == 17);
    CHECK(hungAntenna(plan, s.id)->electricalTiltDeg == 4);
    CHECK(hungAntenna(plan, other.id)->patternName == "Round");
    CHECK(hungAntenna(plan, c.id)->pattern.maxGainDbi() == 5);
    CHECK(cutsOf(*hungAntenna(plan, c.id)).halfPower.horizontalDeg == 360);
    CHECK(hungAntenna(plan, r.id)->mechanicalTiltDeg == 8);
    CHECK_FALSE(hungAntenna(plan, cut.id));
}
