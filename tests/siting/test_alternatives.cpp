// SPDX-License-Identifier: GPL-3.0-or-later
// What else could be done about a full cell: reckoned by hand for a sector of two carriers.
#include "catch.h"
#include "siting/alternatives.h"
#include "study/hand_plan.h"

#include <algorithm>
#include <cmath>

using namespace fw;
using namespace fw::testing;
using Catch::Matchers::Contains;

namespace {

// A full cell, a second carrier of its sector in use by `second` (none: not there), a small cell beside
// houses.
struct Sectors {
    HandPlan hand;
    ItemId cell;
    explicit Sectors(double use, std::optional<double> second, double bandwidthMHz = 10,
                     Technology technology = Technology::lte) {
        cell = hand.macro(place(-200, 0), 90, use);
        Cell c = *hand.plan.cells.find(cell);
        c.load.dailyDlPrbUse.assign(7, use);
        c.load.userThroughputMbps = 1.2;
        hand.plan.cells.put(c);
        if (second) {
            Cell other = c;
            other.id = hand.plan.lastId = hand.plan.nextId();
            other.name = "second";
            other.carrier.technology = technology;
            other.carrier.channel = technology == Technology::lte ? 2850 : 427000; // NR: n1, 2135 MHz
            other.carrier.bandwidthMHz = bandwidthMHz;
            other.load = {};
            other.load.dlPrbUse = *second;
            hand.plan.cells.put(other);
        }
        for (int k = 0; k < 4; ++k) hand.building(place(60 + 30.0 * k, 40), 16, 3);
        hand.small(place(100, 20), 0);
    }
    [[nodiscard]] std::pair<std::shared_ptr<const Study>, CellCase> one() const {
        auto s = compute(hand.done());
        INFO((s ? "" : s.error().sentence()));
        REQUIRE(s);
        const auto cases = casesOf(**s, (*s)->live());
        const auto mine =
            std::find_if(cases.begin(), cases.end(), [&](const CellCase& c) { return c.cell == cell; });
        REQUIRE(mine != cases.end());
        return {*s, *mine};
    }
};

} // namespace

TEST_CASE("balancing, lighting and splitting come out as by hand") {
    // 20 MHz at 82 % and 10 MHz at 40 %: 16.4 + 4 = 20.4 MHz of 30.
    const auto [study, c] = Sectors(0.82, 0.40).one();
    CHECK(c.carriers == 2);
    CHECK(c.balanced == Approx(20.4 / 30));
    CHECK(c.lit == Approx(20.4 / 50)); // 20 MHz more for nine of ten devices: they are enough
    CHECK(c.split == Approx(0.82 / 1.7));
    // 25 % growth a year (the plan's default): 0.82 x 1.25^(t / 12) = 1.
    REQUIRE(c.fullMonths);
    CHECK(*c.fullMonths == Approx(12 * std::log(1 / 0.82) / std::log(1.25)));
    CHECK(c.small == lineOf(study->live(), c.cell)->after);
    const Working w = workingOf(*study, c);
    CHECK(w.steps[1].value == Approx(100 * 20.4 / 30));
    CHECK(w.remarks.front() == c.reason);
}

TEST_CASE("few devices with a new carrier bound what it takes") {
    Sectors s(0.9, {});
    s.hand.set.model.ownCarrierShare = 0.2;
    const auto [study, c] = s.one();
    CHECK(c.carriers == 1);
    CHECK(c.balanced == Approx(0.9));
    CHECK(c.lit == Approx(0.9 * 0.8)); // a fifth of the load may move, half of it would
    CHECK_THAT(c.reason, Contains("no other measured carrier"));
}

TEST_CASE("a sector with room on another carrier is no case for small cells yet") {
    // 16.4 + 2 of 30 MHz: 61 %; with 5 % on the other: 56 %, under the target of 60 %.
    CHECK(Sectors(0.82, 0.05).one().second.advice == Advice::balance);
    CHECK_THAT(Sectors(0.82, 0.05).one().second.reason, Contains("Balance first"));
    CHECK(Sectors(0.82, 0.20).one().second.advice != Advice::balance);
}

TEST_CASE("the advice follows from which way is enough") {
    Sectors s(0.82, 0.9);
    s.hand.set.model.targetUse = 0.81; // a little is enough
    const auto small = s.one().second;
    CHECK(small.advice == (small.small <= 0.81 ? Advice::smallCells : Advice::otherWays));
    s.hand.set.model.targetUse = 0.45; // 16.4 + 9 of 50 MHz is 51 %; half of 82 % is 48 %
    const auto none = s.one().second;
    REQUIRE(none.small > 0.45);
    CHECK(none.lit == Approx(25.4 / 50));
    CHECK(none.advice == Advice::combine);
    CHECK_THAT(none.reason, Contains("Nothing alone brings it to 45 %"));
    s.hand.set.model.targetUse = 0.52;
    const auto other = s.one().second;
    REQUIRE(other.small > 0.52);
    CHECK(other.advice == Advice::otherWays);
}

TEST_CASE("what not every device can use is not counted as room") {
    // The other carrier stands idle, but it is NR: what share of devices has that is not known.
    const auto [study, c] = Sectors(0.82, 0.05, 10, Technology::nr).one();
    CHECK(c.carriers == 1);
    CHECK(c.otherCarriers == 1);
    CHECK(c.balanced == Approx(0.82));
    CHECK(c.advice != Advice::balance);
    CHECK_THAT(c.reason, Contains("no other measured carrier of its technology"));
    CHECK_THAT(workingOf(*study, c).remarks[1], Contains("another technology"));
}

TEST_CASE("without a small cell that relieves it the reason does not speak of what they leave") {
    Sectors s(0.82, {});
    const ItemId small = s.hand.plan.smallCells.begin()->id;
    s.hand.plan.smallCells.remove(small);
    const auto c = s.one().second;
    CHECK_FALSE(c.chosen);
    CHECK_THAT(c.reason, Contains("no chosen small cell relieves it"));
}
