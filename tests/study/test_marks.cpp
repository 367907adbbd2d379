// SPDX-License-Identifier: GPL-3.0-or-later
// The steps to a fit and to a small cell's own use lead to the figures shown.
#include "catch.h"
#include "study/fit.h"
#include "study/hand_plan.h"
#include "study/ledger_working.h"
#include "support/random_plan.h"

#include <algorithm>
#include <cmath>

using namespace fw;
using namespace fw::testing;

namespace {

std::shared_ptr<const Study> townWithCells() {
    Random random(20);
    RandomPlanSpec spec;
    spec.areaM = 700;
    spec.buildings = 90;
    spec.mounts = 8;
    return studyOf(randomPlan(random, spec));
}

double valueOfStep(const Working& w, const std::string& step) {
    const auto it =
        std::find_if(w.steps.begin(), w.steps.end(), [&](const auto& s) { return s.what == step; });
    REQUIRE(it != w.steps.end());
    return it->value;
}

} // namespace

TEST_CASE("the marks of every term of a fit are worked out from what is measured") {
    const auto study = townWithCells();
    REQUIRE_FALSE(study->smallCells().empty());
    for (const SmallCellPart& cell : study->smallCells()) {
        const Fit fit = fitOf(*study, cell.id);
        const Working w = workingOf(*study, fit);
        INFO(study->plan().label(cell.id));
        for (const Fit::Term& t : fit.terms) {
            INFO(t.name);
            CHECK(valueOfStep(w, "marks for " + t.name) == Approx(t.score).margin(1e-12));
        }
        CHECK(0.35 * valueOfStep(w, "marks for the fibre's run") +
                  0.3 * valueOfStep(w, "marks for the power's run") +
                  0.1 * valueOfStep(w, "marks for earth") + 0.25 * valueOfStep(w, "marks for consent") ==
              Approx(valueOfStep(w, "marks for practicality")).margin(1e-12));
        CHECK(w.steps.back().value == Approx(fit.value));
    }
}

TEST_CASE("what a small cell takes of each macro cell adds up to its own use") {
    const auto study = townWithCells();
    const Ledger& ledger = study->live();
    REQUIRE_FALSE(ledger.smalls.empty());
    int carrying = 0;
    for (const SmallCellUse& u : ledger.smalls) {
        const Working w = workingOfUse(*study, ledger, u.small);
        double own = 0;
        for (const LedgerLine& line : ledger.cells)
            for (const LedgerLine::Part& p : line.relief)
                if (p.small == u.small) own += p.own;
        INFO(study->plan().label(u.small));
        CHECK(own == Approx(u.use).margin(1e-9));
        CHECK(w.steps.back().value == Approx(100 * u.use).margin(1e-7));
        carrying += own > 0;
    }
    CHECK(carrying > 0);
}
