// SPDX-License-Identifier: GPL-3.0-or-later
// The settled ledger: bounded, the same whatever came before, and honest about caps it cannot meet.
#include "catch.h"
#include "hand_plan.h"
#include "study/settled.h"
#include "support/random_plan.h"

#include <chrono>
#include <cmath>
#include <thread>

using namespace fw;
using namespace fw::testing;

namespace {

Ledger settledOf(const Study& study, unsigned threads = 1) {
    auto l = settle(study, {}, threads);
    REQUIRE(l);
    return *l;
}
bool says(const Ledger& l, std::string_view words) {
    for (const std::string& r : l.remarks)
        if (r.find(words) != std::string::npos) return true;
    return false;
}

// Two macros on one block, and poles in front of it that hand its users to each other as they come down.
HandPlan crowd(int poles, double sigmaDb, double use) {
    HandPlan h;
    h.set.model.macroSigmaDb = h.set.model.smallSigmaDb = sigmaDb;
    h.set.model.outdoorDensity = 0;
    h.macro(place(2, -230), 0, use, 6);
    h.macro(place(-230, 6), 90, use, 6);
    h.building(place(0, 0), 20, 2);
    for (int k = 0; k < poles; ++k) {
        SmallCell c = *h.plan.smallCells.find(h.small(place(1 + 3 * k, -25 - 2 * k), 0, {}, 40 - 2 * k));
        c.biasDb = 6;
        h.plan.smallCells.put(c);
    }
    return h;
}

Plan fullTown(std::uint64_t seed) {
    Random random(seed);
    RandomPlanSpec spec;
    spec.areaM = 512;
    spec.buildings = 150;
    spec.mounts = 4;
    spec.macroReachM = 900;
    Plan plan = randomPlan(random, spec);
    for (const Cell& c : std::vector<Cell>(plan.cells.begin(), plan.cells.end())) { // every macro full
        Cell full = c;
        full.load.dlPrbUse = 0.95;
        plan.cells.put(full);
    }
    PlanSettings set = *plan.settings;
    set.model.smallUseCap = 0.2; // few of these cells come to 0.7
    plan.settings = std::make_shared<const PlanSettings>(set);
    for (const SmallCell& c : std::vector<SmallCell>(plan.smallCells.begin(), plan.smallCells.end())) {
        SmallCell all = c;
        all.chosen = true;
        all.biasDb = 6;
        plan.smallCells.put(all);
    }
    return plan;
}

// The same plan with the settled settings entered by hand.
Plan asSettled(Plan plan, const Ledger& l) {
    for (const SmallCellUse& u : l.smalls) {
        SmallCell c = *plan.smallCells.find(u.small);
        c.biasDb = u.biasDb;
        plan.smallCells.put(c);
        Radio r = *plan.radios.find(c.radio);
        r.totalPowerDbm -= u.powerDownDb;
        plan.radios.put(r);
    }
    return plan;
}

void checkCaps(const Ledger& l) {
    for (const SmallCellUse& u : l.smalls) {
        CAPTURE(u.small.v, u.use, u.biasDb, u.powerDownDb);
        CHECK(u.biasDb == std::floor(u.biasDb));
        CHECK(u.powerDownDb == std::floor(u.powerDownDb));
        CHECK(u.feasible == (u.use <= u.cap + 1.5e-4));
        // Over the cap only where nothing is left to take: -6 dB of bias and 10 dB of power.
        if (!u.feasible) CHECK((u.biasDb == -6 && u.powerDownDb == 10));
    }
}

} // namespace

// The fixed point without small cells is what was measured: one round from there finds nothing moved.
TEST_CASE("Settling starts from the measured loads", "[settled]") {
    HandPlan h;
    h.macro(place(2, -230), 0, 0.9, 6);
    h.macro(place(-230, 6), 90, 0.4, 6);
    h.building(place(0, 0), 20, 2);
    const Ledger l = settledOf(*studyOf(h.done()));
    CHECK(l.converged);
    CHECK(l.rounds == 1);
    REQUIRE(l.cells.size() == 2);
    for (const LedgerLine& line : l.cells) {
        CHECK(line.harm == 0);
        CHECK(line.after == line.before);
    }
}

// A neighbour that is relieved sends less: the other cell's users hear less and need fewer PRB. The live
// ledger, which holds neighbours at their measured loads, cannot see it.
TEST_CASE("A relieved cell helps its neighbour once loads settle", "[settled]") {
    HandPlan h;
    h.set.model.outdoorDensity = 0;
    h.macro(place(2, -230), 0, 0.8, 6);
    const ItemId neighbour = h.macro(place(2, 230), 180, 0.6, 6);
    h.building(place(0, -60), 20, 2); // nearer to the first
    h.building(place(0, 60), 20, 2);
    h.small(place(1, -83), 0, bandForty(), 40); // on a carrier that macros do not hear
    const auto study = studyOf(h.done());
    const Ledger settled = settledOf(*study);
    CHECK(settled.converged);
    const LedgerLine *live = lineOf(study->live(), neighbour), *now = lineOf(settled, neighbour);
    REQUIRE(live);
    REQUIRE(now);
    CHECK(live->harm == 0);
    CHECK(now->harm < -0.001);
    double taken = 0;
    for (const LedgerLine::Part& p : now->relief) taken += p.use;
    CHECK(now->after == now->before - taken + now->harm);
    CHECK(now->after >= now->fixed);
}

// As in the live case of a carrier of its own, at 0.65: 0.9 * (0.65 - 0.05) / 0.74 = 0.7297 of its PRB, over
// the cap of 0.7 by less than 1.3. Everybody is far above the threshold and at the highest efficiency, so
// that neither 6 dB of bias nor 10 dB of power changes anything: all is taken, in vain, and said.
TEST_CASE("A cap that cannot be met is said with the settings it was tried with", "[settled]") {
    HandPlan h;
    h.noShadowing();
    h.set.model.outdoorDensity = 0;
    h.macro(place(2, -230), 0, 0.65, 6);
    h.building(place(0, 0), 20, 1);
    const ItemId small = h.small(place(1, -25), 0, bandForty(), 56);
    const Ledger l = settledOf(*studyOf(h.done()));
    const SmallCellUse* u = useOf(l, small);
    REQUIRE(u);
    CHECK_FALSE(u->feasible);
    CHECK(u->biasDb == -6);
    CHECK(u->powerDownDb == 10);
    CHECK(std::fabs(u->use - 0.54 / 0.74) < 1e-4);
    CHECK(says(l, "bias -6 dB and 10 dB less power"));
    CHECK(l.converged);
    // 16 steps of one decibel and the solution before; each settles in two rounds, since only the macro's own
    // load changes.
    CHECK(l.rounds == 17 * 2);
}

// Six poles with a step each time users wander to the next: more than twenty steps one after another.
TEST_CASE("Small cells come under their caps however many steps it takes", "[settled]") {
    struct Case {
        int poles;
        double sigmaDb, use;
    };
    const Case c =
        GENERATE(Case{1, 6, 0.95}, Case{2, 3, 0.7}, Case{4, 0, 0.95}, Case{6, 0, 0.95}, Case{6, 3, 0.95});
    CAPTURE(c.poles, c.sigmaDb, c.use);
    const HandPlan h = crowd(c.poles, c.sigmaDb, c.use);
    const auto study = studyOf(h.done());
    bool over = false;
    for (const SmallCellUse& u : study->live().smalls) over = over || !u.feasible;
    REQUIRE(over);
    const Ledger l = settledOf(*study);
    checkCaps(l);
    CHECK(l.converged);
    for (const SmallCellUse& u : l.smalls) CHECK(u.feasible);
    CHECK(l.rounds <= 40 * (22 * c.poles + 1));
}

// The sheet prints these settings: a plan that has them entered must settle where it stands, on the same
// figures. (None of these ends over its cap: such a cell would be lowered again from where it stands.)
TEST_CASE("Printed settings are those the figures were solved with", "[settled]") {
    const Plan plan = GENERATE(crowd(1, 6, 0.95).done(), crowd(3, 6, 0.95).done(), crowd(6, 0, 0.95).done(),
                               fullTown(21), fullTown(22));
    const Ledger first = settledOf(*studyOf(plan));
    checkCaps(first);
    bool lowered = false;
    for (const SmallCellUse& u : first.smalls) {
        REQUIRE(u.feasible);
        lowered = lowered || u.biasDb < 6;
    }
    REQUIRE(lowered);
    const Ledger again = settledOf(*studyOf(asSettled(plan, first)));
    REQUIRE(again.smalls.size() == first.smalls.size());
    for (std::size_t k = 0; k < again.smalls.size(); ++k) {
        CHECK(again.smalls[k].use == first.smalls[k].use);
        CHECK(again.smalls[k].biasDb == first.smalls[k].biasDb);
        CHECK(again.smalls[k].powerDownDb == 0);
    }
    REQUIRE(again.cells.size() == first.cells.size());
    for (std::size_t k = 0; k < again.cells.size(); ++k) CHECK(again.cells[k].after == first.cells[k].after);
}

// Two radios that look at each other over the block they share, on the full carrier of two full macros.
TEST_CASE("A strongly coupled pair settles or says that it does not", "[settled]") {
    HandPlan h;
    h.macro(place(2, -230), 0, 1.0, 6);
    h.macro(place(2, 230), 180, 1.0, 6);
    h.building(place(0, 0), 20, 4);
    h.building(place(40, 0), 20, 4);
    h.small(place(21, -41), 0, {}, 43);
    h.small(place(21, 41), 180, {}, 43);
    const Ledger l = settledOf(*studyOf(h.done()));
    CHECK(l.converged != says(l, "did not settle"));
    CHECK(l.rounds <= 40 * (22 * 2 + 1));
    checkCaps(l);
    for (const LedgerLine& line : l.cells) CHECK(std::isfinite(line.after));
}

// A small cell in the middle of nowhere shouts over users that stay with a full macro.
TEST_CASE("More than all PRB is said and held towards neighbours", "[settled]") {
    HandPlan h;
    h.noShadowing();
    h.set.model.outdoorDensity = 0;
    const ItemId macro = h.macro(place(2, -230), 0, 1.0, 6);
    h.building(place(0, -100), 20, 1);
    h.small(place(1, 41), 0, {}, 43);
    const Ledger l = settledOf(*studyOf(h.done()));
    const LedgerLine* line = lineOf(l, macro);
    REQUIRE(line);
    CHECK(line->relief.empty());
    CHECK(line->after > 1);
    CHECK(says(l, "held at 100 %"));
}

TEST_CASE("The settled ledger is the same whatever was computed before it", "[settled][slow]") {
    const Plan plan = fullTown(23), other = fullTown(24);
    const auto fresh = studyOf(plan);
    const std::string bytes = bytesOf(settledOf(*fresh));
    CHECK(bytesOf(settledOf(*fresh)) == bytes); // a second time
    // Along a way of edits, each settled: another town, then this one with everything lowered, then as it
    // was.
    auto study = studyOf(other);
    (void)settledOf(*study);
    study = studyOf(asSettled(plan, settledOf(*fresh)), 1, study);
    (void)settledOf(*study);
    study = studyOf(plan, 1, study);
    CHECK(bytesOf(settledOf(*study)) == bytes);
    CHECK(bytesOf(settledOf(*studyOf(other))) != bytes);
}

TEST_CASE("The settled ledger is the same on any number of threads", "[settled][threads]") {
    const Plan plan = fullTown(25);
    CHECK(bytesOf(settledOf(*studyOf(plan, 1), 1)) == bytesOf(settledOf(*studyOf(plan, 2), 2)));
}

TEST_CASE("Settling stops within 0.2 s and leaves the study as it was", "[settled]") {
    const auto study = studyOf(crowd(6, 0, 0.95).done());
    const std::string bytes = bytesOf(settledOf(*study)), live = bytesOf(study->live());
    using Clock = std::chrono::steady_clock;
    for (const int after : {0, 1, 3}) { // steps before somebody presses stop
        std::stop_source stop;
        Clock::time_point pressed;
        int steps = 0;
        double last = -1;
        Job job{stop.get_token(), [&](double share, std::string_view) {
                    CHECK(share >= last);
                    CHECK(share <= 1);
                    last = share;
                    if (steps++ < after) return;
                    stop.request_stop();
                    if (steps == after + 1) pressed = Clock::now();
                }};
        const auto l = settle(*study, job, 1);
        CHECK(Clock::now() - pressed < std::chrono::milliseconds(200));
        REQUIRE_FALSE(l);
        CHECK(l.error().code == ErrorCode::cancelled);
    }
    // In the middle of a round, from another thread.
    std::stop_source stop;
    Clock::time_point pressed;
    std::thread presser([&] {
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
        pressed = Clock::now();
        stop.request_stop();
    });
    const auto l = settle(*study, {stop.get_token(), {}}, 2);
    presser.join();
    if (!l) CHECK(Clock::now() - pressed < std::chrono::milliseconds(200));
    CHECK(bytesOf(settledOf(*study)) == bytes);
    CHECK(bytesOf(study->live()) == live);
}
