// SPDX-License-Identifier: GPL-3.0-or-later
// How long a relieved cell holds: held against compound growth written out.
#include "catch.h"
#include "plan/validate.h"
#include "study/hand_plan.h"
#include "study/holds.h"

#include <cmath>

using namespace fw;
using namespace fw::testing;

TEST_CASE("a relieved cell holds until growth brings it back to the trigger") {
    ModelSettings m;
    m.targetUse = 0.6;
    m.triggerUse = 0.7;
    m.regrowth = 0.2;
    m.growthPerYear = 0.25;
    // 50 % and a fifth of the 30 points taken off come back: 56 %; 0.56 x 1.25^(t / 12) = 0.7: a year.
    REQUIRE(monthsUntilTrigger(0.5, 0.3, m));
    CHECK(*monthsUntilTrigger(0.5, 0.3, m) == Approx(12 * std::log(0.7 / 0.56) / std::log(1.25)));
    CHECK(*monthsUntilTrigger(0.5, 0.3, m) == Approx(12));
    CHECK_FALSE(monthsUntilTrigger(0.61, 0.2, m)); // over the target
    CHECK(monthsUntilTrigger(0.6, 0.1, m));        // at it is under it, as everywhere
    CHECK(*monthsUntilTrigger(0.6, 0.5, m) == 0);  // regrowth alone
}

TEST_CASE("where traffic does not grow a relieved cell holds for good") {
    ModelSettings m;
    m.growthPerYear = 0;
    CHECK(monthsUntilTrigger(0.5, 0.3, m) == kForGoodMonths);
    m.growthPerYear = -0.1;
    CHECK(monthsUntilTrigger(0.5, 0.3, m) == kForGoodMonths);
    m.growthPerYear = 1e-9;
    CHECK(monthsUntilTrigger(0.5, 0.3, m) == kForGoodMonths);
    CHECK_FALSE(monthsUntilTrigger(0.65, 0.1, m));
    CHECK(monthsText(kForGoodMonths) == "for good");
    CHECK(monthsText(1.9) == "1 month");
    CHECK(monthsText(16.7) == "16 months");
}

TEST_CASE("months count from the day of the load, not from that of the plan") {
    HandPlan hand;
    const ItemId cell = hand.macro(place(0, 0), 90, 0.8);
    hand.set.date = {2029, 6, 1};
    Cell c = *hand.plan.cells.find(cell);
    c.load.date = "2026-11-20";
    hand.plan.cells.put(c);
    CHECK(holdsTo(hand.done(), cell, 14.5).iso() == "2028-01-01");
    c.load.date.clear();
    hand.plan.cells.put(c);
    CHECK(holdsTo(hand.done(), cell, 14.5).iso() == "2030-08-01");
}

TEST_CASE("a target above the trigger is a fault of the plan") {
    PlanSettings settings = *HandPlan().done().settings;
    CHECK(validate(settings));
    settings.model.targetUse = 0.75;
    CHECK_FALSE(validate(settings));
    settings.model.targetUse = settings.model.triggerUse;
    CHECK(validate(settings));
}
