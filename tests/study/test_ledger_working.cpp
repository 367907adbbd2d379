// SPDX-License-Identifier: GPL-3.0-or-later
#include "hand_plan.h"

#include "catch.h"
#include "study/cost_by_bearing.h"
#include "study/ledger_working.h"
#include "study/settled.h"

#include <algorithm>
#include <cmath>

using namespace fw;
using namespace fw::testing;

namespace {

// A full macro in the west, houses along a street, two small cells before them.
struct FullStreet {
    HandPlan hand;
    ItemId cell, idle, small, other;
    FullStreet() {
        cell = hand.macro(place(-180, 0), 90, 0.78, 2);
        idle = hand.macro(place(180, 120), 240, 0.30, 4);
        for (int k = 0; k < 8; ++k) hand.building(place(-60 + 34.0 * (k % 4), k < 4 ? 46 : -46), 18, 3);
        small = hand.small(place(0, 0), 90);
        other = hand.small(place(40, -20), 270);
    }
};

double lastOf(const Working& w) { return w.steps.empty() ? std::nan("") : w.steps.back().value; }

void checkLines(const Study& study, const Ledger& ledger) {
    REQUIRE(!ledger.cells.empty());
    for (const LedgerLine& line : ledger.cells) {
        const Working w = workingOf(study, ledger, line.cell);
        CHECK(lastOf(w) == Approx(line.after * 100).margin(1e-9));
        CHECK(w.steps.back().unit == "%");
        const auto named = std::count_if(w.steps.begin(), w.steps.end(), [](const WorkingStep& s) {
            return s.what.rfind("taken off by", 0) == 0;
        });
        CHECK(static_cast<std::size_t>(named) == line.relief.size());
        const Working holds = workingOfHolds(study, ledger, line.cell);
        if (line.holdsMonths) {
            CHECK(lastOf(holds) == Approx(*line.holdsMonths).margin(1e-9));
            CHECK(holds.steps.back().unit == "months");
        } else {
            CHECK(lastOf(holds) == Approx(line.after * 100).margin(1e-9));
            CHECK(holds.remarks.size() > 1);
        }
    }
}

} // namespace

TEST_CASE("The working of a ledger line ends at the use after, live and settled", "[study][working]") {
    FullStreet s;
    s.hand.set.model.targetUse = 0.9; // so that one of them holds for a time
    const auto study = compute(s.hand.done());
    REQUIRE(study);
    checkLines(**study, (*study)->live());
    const auto settled = settle(**study);
    REQUIRE(settled);
    checkLines(**study, *settled);
    const LedgerLine* line = lineOf((*study)->live(), s.cell);
    REQUIRE(line);
    REQUIRE(!line->relief.empty());
}

TEST_CASE("A cell without a measured load has a remark in place of steps", "[study][working]") {
    HandPlan hand;
    const ItemId mute = hand.macro(place(-180, 0), 90, std::nullopt);
    hand.macro(place(180, 0), 270, 0.5);
    hand.small(place(0, 0), 90);
    const auto study = compute(hand.done());
    REQUIRE(study);
    const Working w = workingOf(**study, (*study)->live(), mute);
    CHECK(w.steps.empty());
    CHECK(w.remarks.size() == 1);
}

TEST_CASE("PRB cost by bearing sums to what a beam of all round overlooks", "[study][bearing]") {
    FullStreet s;
    const auto study = compute(s.hand.done());
    REQUIRE(study);
    const auto cost = costByBearing(**study, s.small);
    REQUIRE(cost);
    Radio wide = *(*study)->plan().radios.find((*study)->smallCell(s.small)->radio);
    wide.hBeamDeg = 360;
    Hypothesis what;
    what.radio = wide;
    const auto all = (*study)->overlay(what);
    CHECK(cost->total() > 0.5);
    CHECK(cost->total() == Approx(all->outlook(s.small).costPoints).epsilon(1e-9));
    // Kept by position: however the radio is turned, the very same.
    CHECK(costByBearing(*all, s.small) == cost);
    CHECK(costByBearing(**study, s.cell) == nullptr);
}

TEST_CASE("PRB cost by bearing lies where the houses are", "[study][bearing]") {
    HandPlan hand;
    hand.macro(place(-200, 0), 90, 0.8);
    for (int k = 0; k < 3; ++k) hand.building(place(90, 20.0 * (k - 1)), 16, 4); // to the east alone
    const ItemId small = hand.small(place(0, 0), 0);
    hand.set.model.outdoorDensity = 0;
    const auto study = compute(hand.done());
    REQUIRE(study);
    const auto cost = costByBearing(**study, small);
    REQUIRE(cost);
    double east = 0;
    for (int k = 0; k < CostByBearing::kBins; ++k)
        if (const double middle = (k + 0.5) * CostByBearing::kBinDeg; middle > 65 && middle < 115)
            east += cost->points[static_cast<std::size_t>(k)];
    CHECK(cost->total() > 0);
    CHECK(east == Approx(cost->total()));
    CHECK(cost->at(GridAzimuth::of(271)) == 0);
}

TEST_CASE("The working of a small cell's relief ends at it, for a candidate too", "[study][working]") {
    FullStreet s;
    Plan plan = s.hand.done();
    SmallCell candidate = *plan.smallCells.find(s.other);
    candidate.chosen = false;
    plan.smallCells.put(candidate);
    const auto study = compute(std::move(plan));
    REQUIRE(study);
    for (const ItemId id : {s.small, s.other}) {
        const Working w = workingOfRelief(**study, id);
        REQUIRE(w.steps.size() >= 3);
        CHECK(lastOf(w) == Approx((*study)->reliefPoints(id)).margin(1e-9));
        double points = 0;
        for (const WorkingStep& step : w.steps)
            if (step.what.rfind("of the PRB of ", 0) == 0) points += step.value;
        CHECK(points == Approx(lastOf(w)).margin(1e-9));
    }
    CHECK(workingOfRelief(**study, s.cell).steps.empty());
}
