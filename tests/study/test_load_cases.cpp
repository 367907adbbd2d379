// SPDX-License-Identifier: GPL-3.0-or-later
// The live ledger of plans small enough to work out on paper.
#include "catch.h"
#include "hand_plan.h"
#include "study/fit.h"

#include <cmath>

using namespace fw;
using namespace fw::testing;

namespace {

// One step of a cost is 2^-32 PRB of 100.
constexpr double kStep = 1 / kPrbUnit / 100;

void checkFinite(const Study& study, ItemId small) {
    const Fit fit = fitOf(study, small);
    CHECK(std::isfinite(fit.value));
    CHECK(fit.value >= 0);
    CHECK(fit.value <= 100);
    for (const Fit::Term& t : fit.terms) CHECK(std::isfinite(t.score));
}

} // namespace

TEST_CASE("An idle network costs nothing and gives nothing back", "[load]") {
    HandPlan h;
    const ItemId cell = h.macro(place(-2, -102), 0, 0.0);
    h.building(place(0, 0), 20, 2);
    const ItemId small = h.small(place(30, 0), 270);
    const auto study = studyOf(h);
    const LedgerLine* l = lineOf(study->live(), cell);
    REQUIRE(l);
    // Measured 0: 0 can move, 0 cannot; 0 after.
    CHECK(spreadOf(study->core(), cell) == 0);
    CHECK(l->fixed == 0);
    CHECK(l->relief.empty());
    CHECK(l->harm == 0);
    CHECK(l->after == 0);
    CHECK_FALSE(l->congested);
    CHECK_FALSE(l->holdsMonths);
    REQUIRE(useOf(study->live(), small));
    CHECK(useOf(study->live(), small)->use == 0);
    checkFinite(*study, small);
}

// A use below the part that cannot move (5 points): all of it is fixed, nothing is spread.
TEST_CASE("A use below the fixed part stays where it is", "[load]") {
    HandPlan h;
    const ItemId cell = h.macro(place(-2, -102), 0, 0.04);
    h.building(place(0, 0), 20, 2);
    h.small(place(30, 0), 270);
    const auto study = studyOf(h);
    const LedgerLine* l = lineOf(study->live(), cell);
    REQUIRE(l);
    CHECK(spreadOf(study->core(), cell) == 0);
    CHECK(std::fabs(l->fixed - 0.04) <= kStep);
    CHECK(l->after == l->before);
}

// One macro, one block, nobody else. In the pixel centre 100 m due north of a mast on a pixel's centre:
//   distance in space  sqrt(100^2 + 23.5^2) = 102.724 m (25 m less 1.5 m)
//   loss  28.0 + 22 lg 102.724 + 20 lg 1.8400 = 28 + 44.256 + 5.296 = 77.553 dB   TR 38.901 table 7.4.1-1,
//         UMa LOS, PL1: the breakpoint is 4 * 24 * 0.5 * 1.84e9 / 3e8 = 294 m, farther off
//   elevation -13.2 deg, beam 7 deg: 12 (13.2/7)^2 = 42.7, held at 20 dB          TR 36.814 table A.2.1.1-2
//   level 15 + 17 - 20 - 77.553 = -65.553 dBm
// EARFCN 1500 is 1805 + 0.1 (1500 - 1200) = 1835 MHz; 1550 gives 1840.0 MHz (TS 36.101, 5.7.3).
// Noise in 15 kHz: -174 + 41.761 + 9 = -123.239 dBm, so the SINR is 57.686 dB.
TEST_CASE("One cell alone is limited by noise and spends what was measured", "[load]") {
    HandPlan h;
    const ItemId cell = h.macro(place(-2, -98), 0, 0.65);
    Cell c = *h.plan.cells.find(cell);
    c.carrier.channel = 1550;
    h.plan.cells.put(c);
    h.building(place(100, 40), 20, 2);
    const auto study = studyOf(h);
    const auto served = study->macroAt(place(-2, 2));
    REQUIRE(served);
    CHECK(served->cell == cell);
    // Loss and pattern are rounded to 0.01 dB each, and the loss kernel has 0.02 dB in hand.
    CHECK(std::fabs(served->levelDbm - -65.553) < 0.03);
    const StudyCore& core = study->core();
    REQUIRE(core.base->tiles.size() == 1);
    const LayerLevels& l = core.base->tiles[0].levels->layers[0];
    const std::size_t pixel = 64 * kTilePixels + 63; // centre 2 m west and 2 m north of the middle
    CHECK(levelOf(l.strongest[0][pixel]) == static_cast<int>(std::lround(served->levelDbm * 100)));
    // Noise is rounded to 0.01 dB and back again.
    CHECK(std::abs(l.sinr[pixel] - (levelOf(l.strongest[0][pixel]) + 12324)) <= 1);
    // What can move is 0.65 - 0.05 of 100 PRB. Each of the 16,384 pixels and the facades rounds down.
    const auto movable = static_cast<std::int64_t>(60 * kPrbUnit);
    const std::int64_t spread = spreadOf(core, cell);
    CHECK(spread <= movable);
    CHECK(movable - spread <= 17000);
    CHECK(core.base->unspread[0] + spread == core.base->runtime[0].movable);
    const LedgerLine* line = lineOf(study->live(), cell);
    REQUIRE(line);
    CHECK(std::fabs(line->fixed - 0.05) < 17000 * kStep);
    CHECK(line->after == line->before);
    CHECK(line->harm == 0);
}

// Two masts, two blocks and two poles, mirrored in a meridian; nobody outdoors. The poles stand 1 m either
// side of it and not both on it, since a small cell is looked at from the middle of its 2 m cell of ground
// and a mast from the middle of its 4 m pixel: no meridian is in the middle of both. By symmetry the west
// pole does to the west cell what the east pole does to the east cell, and crosswise. What is left is one
// rounding down a receiver (24 facades and storeys) and sums of doubles in another order (2^-52 of 75 PRB).
TEST_CASE("Small cells between two equal cells relieve both alike", "[load]") {
    HandPlan h;
    h.set.model.outdoorDensity = 0;
    const ItemId west = h.macro(place(2 - 160, -58), 60, 0.8), east = h.macro(place(2 + 160, -58), 300, 0.8);
    h.building(place(2 - 40, 20), 24, 3);
    h.building(place(2 + 40, 20), 24, 3);
    h.small(place(2 - 1, 3), 0);
    h.small(place(2 + 1, 3), 0);
    const auto study = studyOf(h);
    const LedgerLine *a = lineOf(study->live(), west), *b = lineOf(study->live(), east);
    REQUIRE(a);
    REQUIRE(b);
    REQUIRE(a->relief.size() == 2);
    REQUIRE(b->relief.size() == 2);
    CHECK(a->relief[0].use > 0.01);
    CHECK(a->relief[0].use != a->relief[1].use); // no check that two zeros are equal
    CHECK(std::fabs(a->relief[0].use - b->relief[1].use) <= 50 * kStep);
    CHECK(std::fabs(a->relief[1].use - b->relief[0].use) <= 50 * kStep);
    CHECK(a->harm > 0);
    CHECK(std::fabs(a->harm - b->harm) <= 50 * kStep);
    const auto& u = study->live().smalls;
    REQUIRE(u.size() == 2);
    CHECK(std::fabs(u[0].use - u[1].use) <= 100 * kStep);
}

TEST_CASE("A full cell that is congested says at least", "[load]") {
    HandPlan h;
    const ItemId cell = h.macro(place(-2, -102), 0, 1.0);
    h.building(place(0, 0), 20, 2);
    const auto study = studyOf(h);
    const Ledger& l = study->live();
    REQUIRE(lineOf(l, cell));
    CHECK(lineOf(l, cell)->congested);
    REQUIRE(l.remarks.size() == 1);
    CHECK(l.remarks[0].find("100 %") != std::string::npos);
    CHECK(l.remarks[0].find("at least") != std::string::npos);
    // Of 100 PRB 95 are spread, 5 stay.
    CHECK(std::fabs(static_cast<double>(spreadOf(study->core(), cell)) / kPrbUnit - 95) < 17000 / kPrbUnit);
}

TEST_CASE("Nobody on the water: nothing is spread, everything stays", "[load]") {
    HandPlan h;
    h.set.terrain.flatM = 0;
    const ItemId cell = h.macro(place(-2, -102), 0, 0.9);
    const ItemId small = h.small(place(30, 0), 270);
    const auto study = studyOf(h);
    const LedgerLine* l = lineOf(study->live(), cell);
    REQUIRE(l);
    CHECK(spreadOf(study->core(), cell) == 0);
    CHECK(std::fabs(l->fixed - 0.9) <= kStep);
    CHECK(l->relief.empty());
    CHECK(l->after == l->before);
    checkFinite(*study, small);
}

// Facades only or ground only: the whole of what can move lies there, not 80 or 20 % of it.
TEST_CASE("Demand on one side only takes all of the cost", "[load]") {
    const bool indoors = GENERATE(true, false);
    CAPTURE(indoors);
    HandPlan h;
    const ItemId cell = h.macro(place(-2, -102), 0, 0.65);
    if (indoors) {
        h.set.model.outdoorDensity = 0;
        h.building(place(0, 0), 20, 3);
    }
    const auto study = studyOf(h);
    CHECK(60 - static_cast<double>(spreadOf(study->core(), cell)) / kPrbUnit < 17000 / kPrbUnit);
    const TilePart& t = study->core().base->tiles[0];
    std::int64_t inside = 0;
    for (std::size_t i = kTileArea; i < t.cost->layers[0].size(); ++i) inside += t.cost->layers[0][i];
    CHECK(inside == (indoors ? spreadOf(study->core(), cell) : 0));
}

// Two masts 300 m apart that look at each other; the second one's use was not measured. It has no line, but
// it is reckoned with at 50 %: 0.10 + 0.90 * 0.50 = 0.55 of full power (TS 36.211's reference signals on two
// ports are the 0.10), or -2.60 dB. In the middle between both the levels are equal, so that the SINR is
// 2.60 dB; noise is 50 dB lower.
TEST_CASE("A macro without a measured use has no line and still interferes", "[load]") {
    HandPlan h;
    const ItemId first = h.macro(place(-150, 2), 90, 0.65), second = h.macro(place(150 + 4, 2), 270, {});
    const auto study = studyOf(h);
    CHECK(lineOf(study->live(), first));
    CHECK_FALSE(lineOf(study->live(), second));
    CHECK(spreadOf(study->core(), second) == 0);
    const LayerLevels& l = study->core().base->tiles[0].levels->layers[0];
    const std::size_t pixel = 64 * kTilePixels + 64; // 152 m from both
    CHECK(levelOf(l.strongest[0][pixel]) == levelOf(l.strongest[1][pixel]));
    CHECK(rosterOf(l.strongest[0][pixel]) == 0); // ties go to the lower id
    CHECK(std::abs(l.sinr[pixel] - 260) <= 2);   // power, share and level round to 0.01 dB
}

TEST_CASE("A small cell far outside the area of work does nothing", "[load]") {
    HandPlan h;
    const ItemId cell = h.macro(place(-2, -102), 0, 0.8);
    h.building(place(0, 0), 20, 2);
    const ItemId small = h.small(place(2500, 900), 250);
    const auto study = studyOf(h);
    const LedgerLine* l = lineOf(study->live(), cell);
    REQUIRE(l);
    CHECK(l->relief.empty());
    CHECK(l->harm == 0);
    REQUIRE(useOf(study->live(), small));
    CHECK(useOf(study->live(), small)->use == 0);
    CHECK(study->reliefPoints(small) == 0);
    checkFinite(*study, small);
}

// A carrier of its own, no shadowing, one block 25 m from the pole and 230 m from the mast: everybody hears
// both far above -110 dBm and at more than 22 dB over noise, where 0.6 lg2(1 + S) reaches its ceiling of
// 4.4 bit/s/Hz (TR 36.942, annex A.1: 2^(4.4/0.6) - 1 = 160, or 22.05 dB).
//   moves  0.9 of devices with the band, of 0.45 - 0.05: relief 0.36
//   costs  as many bits at the same efficiency in a carrier that sends 74 % of the time: 0.36 / 0.74 = 0.4865
// The macro's users hear nothing of it: harm is 0. Rounding: chances 2^-15, cost 2^-32 a receiver.
TEST_CASE("A carrier of its own takes its devices and harms nobody", "[load]") {
    HandPlan h;
    h.noShadowing();
    h.set.model.outdoorDensity = 0;
    const ItemId cell = h.macro(place(2, -230), 0, 0.45, 6);
    h.building(place(0, 0), 20, 1);
    const ItemId small = h.small(place(1, -25), 0, bandForty(), 46);
    const auto study = studyOf(h);
    const LedgerLine* l = lineOf(study->live(), cell);
    REQUIRE(l);
    REQUIRE(l->relief.size() == 1);
    CHECK(std::fabs(l->relief[0].use - 0.36) < 1e-4);
    CHECK(l->harm == 0);
    CHECK(std::fabs(l->after - 0.09) < 1e-4);
    REQUIRE(useOf(study->live(), small));
    CHECK(std::fabs(useOf(study->live(), small)->use - 0.36 / 0.74) < 1e-4);
    CHECK(useOf(study->live(), small)->feasible);
}
