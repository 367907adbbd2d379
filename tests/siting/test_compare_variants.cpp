// SPDX-License-Identifier: GPL-3.0-or-later
// Variants side by side: each figure is what opening the plan on that variant alone says.
#include "catch.h"
#include "plan/variant_edits.h"
#include "review/review.h"
#include "siting/compare_variants.h"
#include "study/settled.h"
#include "support/flat_study.h"
#include "support/random_plan.h"

#include <algorithm>

using namespace fw;
using namespace fw::testing;

namespace {

Plan on(Plan plan, ItemId variant) {
    const auto edit = activateVariant(plan, variant);
    REQUIRE(edit);
    REQUIRE(apply(plan, *edit));
    return plan;
}

// Three variants: as made, without its first cell, and empty; every macro cell full.
struct TownOfVariants {
    Plan plan;
    ItemId whole, fewer, empty;
    TownOfVariants() {
        Random random(91);
        RandomPlanSpec spec;
        spec.areaM = 800;
        spec.buildings = 90;
        spec.mounts = 8;
        plan = randomPlan(random, spec);
        std::vector<Cell> cells(plan.cells.begin(), plan.cells.end());
        for (Cell& c : cells) {
            c.load.dlPrbUse = 0.82;
            c.load.dailyDlPrbUse.assign(7, 0.82);
            c.load.userThroughputMbps = 1.5;
            plan.cells.put(c);
        }
        whole = plan.settings->activeVariant;
        std::vector<SmallCell> smalls(plan.smallCells.begin(), plan.smallCells.end());
        for (SmallCell& s : smalls) {
            s.chosen = true;
            plan.smallCells.put(s);
        }
        const auto copy = copyVariant(plan, whole, "Fewer");
        REQUIRE(copy);
        REQUIRE(apply(plan, copy->edit));
        fewer = copy->variant;
        for (const SmallCell& s : plan.smallCells)
            if (s.variant == fewer) {
                SmallCell candidate = s;
                candidate.chosen = false;
                plan.smallCells.put(candidate);
                break;
            }
        const auto none = newVariant(plan, "Nothing");
        REQUIRE(none);
        REQUIRE(apply(plan, none->edit));
        empty = none->variant;
    }
};

} // namespace

TEST_CASE("each variant's figures are those of the plan on that variant") {
    const TownOfVariants town;
    const auto all = compareVariants(flatStudyOf(town.plan), flatTerrain(), {1, 40, 1});
    REQUIRE(all);
    REQUIRE(all->size() == 3);
    for (const VariantFigures& f : *all) {
        INFO(f.name);
        const auto study = flatStudyOf(on(town.plan, f.variant));
        const auto ledger = settle(*study, {}, 1);
        REQUIRE(ledger);
        int congested = 0, reached = 0;
        double relief = 0, worst = 0;
        for (const LedgerLine& line : ledger->cells) {
            if (!line.congested) continue;
            ++congested;
            reached += line.after <= 0.6;
            worst = std::max(worst, line.after);
            for (const auto& p : line.relief) relief += p.use;
        }
        CHECK(f.congested == congested);
        CHECK(f.reached == reached);
        CHECK(f.reliefPoints == Approx(100 * relief));
        CHECK(f.worstAfter == worst);
        double told = 0;
        int full = 0;
        for (const WorkingStep& step : workingOf(town.plan, f).steps)
            if (step.what.rfind("taken off ", 0) == 0) told += step.value, ++full;
        CHECK(told == Approx(100 * relief));
        CHECK(full == congested);
        const auto chance = chanceOf(*study, *ledger, {40, 1, 1});
        REQUIRE(chance);
        REQUIRE(f.allReach);
        CHECK(*f.allReach == chance->allReach);
        int blocks = 0;
        for (const Finding& x : reviewAll(*study, {false, {}}).findings) {
            bool chosen = false;
            for (const SmallCellPart& s : study->smallCells())
                chosen =
                    chosen || (s.chosen && (x.subjects.front() == s.id || x.subjects.front() == s.radio ||
                                            x.subjects.front() == s.mount));
            blocks += chosen && x.severity == Severity::block && x.standing != Standing::stands;
        }
        CHECK(f.blocks == blocks);
    }
}

TEST_CASE("a copy differs from its model by its name alone") {
    TownOfVariants town;
    const auto copy = copyVariant(town.plan, town.whole, "Again");
    REQUIRE(copy);
    REQUIRE(apply(town.plan, copy->edit));
    const auto all = compareVariants(flatStudyOf(town.plan), flatTerrain(), {1, 40, 1});
    REQUIRE(all);
    VariantFigures first = all->front(), again = all->back();
    CHECK(first.active);
    CHECK_FALSE(again.active);
    CHECK(first.chosen > 0);
    // Draws go by radio: those of the copy are others, so that its chance may differ a little.
    first.allReach = again.allReach = 0;
    again.variant = first.variant;
    again.name = first.name;
    again.active = true;
    CHECK(again == first);
}

TEST_CASE("a variant without small cells is the town as it is") {
    const TownOfVariants town;
    const auto all = compareVariants(flatStudyOf(town.plan), flatTerrain(), {1, 0, 1});
    REQUIRE(all);
    const auto& none = all->at(2);
    CHECK(none.variant == town.empty);
    CHECK(none.chosen == 0);
    CHECK(none.mounts == 0);
    CHECK(none.reached == 0);
    CHECK(none.reliefPoints == 0);
    CHECK(none.blocks == 0);
    CHECK_FALSE(none.holdsMonths);
    CHECK_FALSE(none.allReach);
    for (const auto& [cell, after] : none.after) CHECK(after == Approx(0.82).margin(1e-9));
    REQUIRE((none.cost && all->at(0).cost && all->at(1).cost));
    CHECK(none.cost->total == 0);
    CHECK(static_cast<int>(all->at(0).cost->sites.size()) == all->at(0).mounts);
    // A cell less takes its radio away, unless that carries another, and its mount likewise.
    CHECK(all->at(1).cost->total < all->at(0).cost->total);
    CompareOptions free{1, 0, 1};
    free.costs.reset();
    const auto without = compareVariants(flatStudyOf(town.plan), flatTerrain(), free);
    REQUIRE(without);
    CHECK_FALSE(without->front().cost);
    CHECK(all->at(0).chosen == all->at(1).chosen + 1);
    CHECK(all->at(1).candidates == 1);
}

TEST_CASE("comparing is the same for any number of threads, and stops when told") {
    const TownOfVariants town;
    const auto study = flatStudyOf(town.plan);
    const auto one = compareVariants(study, flatTerrain(), {1, 30, 4}),
               two = compareVariants(study, flatTerrain(), {2, 30, 4});
    REQUIRE((one && two));
    CHECK(*one == *two);
    std::stop_source stop;
    stop.request_stop();
    Job job;
    job.stop = stop.get_token();
    const auto stopped = compareVariants(study, flatTerrain(), {1, 30, 4}, job);
    REQUIRE_FALSE(stopped);
    CHECK(stopped.error().code == ErrorCode::cancelled);
}
