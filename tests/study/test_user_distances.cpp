// SPDX-License-Identifier: GPL-3.0-or-later
// Load spread by the timing-advance histogram: the whole way from the histogram in the plan to the PRB cost
// of receivers, held against the distances of those receivers.
#include "catch.h"
#include "study/state.h"
#include "support/flat_study.h"
#include "support/random_plan.h"

#include <cmath>

using namespace fw;
using namespace fw::testing;

namespace {

Plan distanceTown(bool ignore) {
    Random random(20261128);
    RandomPlanSpec spec;
    spec.areaM = 900;
    spec.buildings = 150;
    spec.mounts = 3;
    Plan plan = randomPlan(random, spec);
    PlanSettings s = *plan.settings;
    s.model.ignoreTimingAdvance = ignore;
    plan.settings = std::make_shared<const PlanSettings>(s);
    return plan;
}

void setHistogram(Plan& plan, ItemId id, std::vector<double> counts) {
    Cell cell = *plan.cells.find(id);
    cell.load.timingAdvance = std::move(counts);
    plan.cells.put(cell);
}

// Bits by step out of the PRB cost of receivers, with nothing of the raking: what a bit costs is the mean of
// 1 over efficiency. A step of LTE is 16 Ts, there and back: 78.07 m (TS 36.213, 4.2.3).
std::vector<double> bitsByStep(const Study& study, ItemId id, std::size_t steps) {
    const Baseline& b = *study.core().base;
    const int n = study.core().cellIndex(id);
    const Cell& cell = *study.plan().cells.find(id);
    const PlanePoint at = study.plan().macroSites.find(study.plan().sectors.find(cell.sector)->site)->at;
    const double kHz = cell.carrier.technology == Technology::nr ? cell.carrier.scsKHz : 15;
    std::vector<double> out(steps, 0);
    double all = 0;
    for (const TilePart& t : b.tiles)
        for (std::size_t k = 0; k < t.cost->layers.size(); ++k) {
            const auto& cost = t.cost->layers[k];
            const LayerLevels& l = t.levels->layers[k];
            for (std::size_t i = 0; i < cost.size(); ++i) {
                if (cost[i] <= 0 || rosterOf(l.strongest[0][i]) != n) continue;
                const double bits = static_cast<double>(cost[i]) / b.tables->meanPerEfficiency(l.sinr[i]);
                const auto step =
                    static_cast<std::size_t>(planeDistance(t.receivers->placeOf(i), at) / (78.07 * 15 / kHz));
                out[std::min(step, steps - 1)] += bits;
                all += bits;
            }
        }
    for (double& v : out) v /= all;
    return out;
}

// A cell with demand in several steps.
ItemId busyCell(const Study& study) {
    for (const MacroCell& c : study.macroCells())
        if (const auto distances = c.use ? study.userDistances(c.id) : std::nullopt) {
            std::size_t held = 0;
            for (const double v : distances->modelled) held += v > 0.02;
            if (held >= 4) return c.id;
        }
    return {};
}

Plan withSteps(Plan plan) {
    std::vector<ItemId> ids;
    for (const Cell& c : plan.cells) ids.push_back(c.id);
    for (const ItemId id : ids) setHistogram(plan, id, std::vector<double>(12, 1000));
    return plan;
}

} // namespace

TEST_CASE("A cell's load lies where its timing-advance histogram says") {
    Plan plan = withSteps(distanceTown(true));
    const auto plain = flatStudyOf(plan);
    const ItemId id = busyCell(*plain);
    REQUIRE(id);
    const auto before = plain->userDistances(id);
    REQUIRE(before);
    CHECK_FALSE(before->raked);
    CHECK(before->spread == before->modelled);
    const auto byHand = bitsByStep(*plain, id, 12);
    for (std::size_t k = 0; k < 12; ++k) CHECK(byHand[k] == Approx(before->modelled[k]).margin(1e-4));

    // More of the users far out than the model has.
    std::vector<double> counts;
    double all = 0;
    for (std::size_t k = 0; k < 12; ++k) {
        counts.push_back(1e6 * before->modelled[k] * (0.4 + 0.15 * static_cast<double>(k)));
        all += counts.back();
    }
    plan = distanceTown(false);
    setHistogram(plan, id, counts);
    const auto raked = flatStudyOf(plan);
    const auto after = raked->userDistances(id);
    REQUIRE(after);
    CHECK(after->raked);
    CHECK(after->samples == Approx(all));
    CHECK(after->unreached == 0);
    const auto there = bitsByStep(*raked, id, 12);
    for (std::size_t k = 0; k < 12; ++k) {
        CHECK(there[k] == Approx(counts[k] / all).margin(1e-4));
        CHECK(after->spread[k] == Approx(counts[k] / all).margin(1e-6));
        CHECK(after->modelled[k] == Approx(before->modelled[k]).margin(1e-9));
    }
    // The measured use is all there, wherever it lies.
    const int n = raked->core().cellIndex(id);
    CHECK(raked->core().base->runtime[static_cast<std::size_t>(n)].total ==
          plain->core().base->runtime[static_cast<std::size_t>(n)].total);
}

TEST_CASE("A histogram that comes, changes or is left aside gives the bytes of a computation from nothing") {
    Plan plan = distanceTown(false);
    auto study = flatStudyOf(plan);
    Random random(5);
    std::vector<ItemId> ids;
    for (const Cell& c : plan.cells) ids.push_back(c.id);
    Digest last = study->core().base->digest;
    int moved = 0;
    for (int step = 0; step < 12; ++step) {
        std::vector<double> counts(random.below(4) == 0 ? 0 : 2 + random.below(12));
        for (double& c : counts) c = random.below(5000);
        setHistogram(plan, ids[random.below(static_cast<std::uint32_t>(ids.size()))], counts);
        if (step == 8) {
            PlanSettings s = *plan.settings;
            s.model.ignoreTimingAdvance = true;
            plan.settings = std::make_shared<const PlanSettings>(s);
        }
        study = flatStudyOf(plan, study);
        CHECK(study->core().base->digest == flatStudyOf(plan)->core().base->digest);
        moved += study->core().base->digest != last;
        last = study->core().base->digest;
    }
    CHECK(moved >= 3);
}

TEST_CASE("Demand from a raster goes through to the cost, and a new raster gives the bytes from nothing") {
    const Plan plan = distanceTown(true);
    const Box box = plan.settings->workArea;
    const auto with = [&](float west) {
        auto t = std::make_shared<Terrain>();
        DemandGrid g(std::floor(box.x0 / 128) * 128, std::floor(box.y0 / 128) * 128, 128,
                     static_cast<int>(box.width() / 128) + 2, static_cast<int>(box.height() / 128) + 2, 1.0F);
        for (int r = 0; r < g.height; ++r)
            for (int c = 0; c < g.width / 2; ++c) g.at(c, r) = west;
        t->demand = std::make_shared<const DemandGrid>(std::move(g));
        return t;
    };
    const auto westShare = [&](const Study& s) {
        const double middle = with(1)->demand->centre(with(1)->demand->width / 2, 0).x - 64 -
                              30; // 30 m: facades look over the line
        double west = 0, all = 0;
        for (const TilePart& t : s.core().base->tiles)
            for (const auto& cost : t.cost->layers)
                for (std::size_t i = 0; i < cost.size(); ++i) {
                    all += static_cast<double>(cost[i]);
                    if (t.receivers->placeOf(i).x < middle) west += static_cast<double>(cost[i]);
                }
        return west / all;
    };
    const auto even = Study::advance(nullptr, plan, with(1), StudyOptions{1});
    const auto empty = Study::advance(*even, plan, with(0), StudyOptions{1});
    const auto cold = Study::advance(nullptr, plan, with(0), StudyOptions{1});
    REQUIRE(even);
    REQUIRE(empty);
    REQUIRE(cold);
    CHECK(westShare(**even) > 0.2);
    CHECK(westShare(**empty) == 0);
    CHECK((*empty)->core().base->digest == (*cold)->core().base->digest);
    CHECK((*empty)->core().base->digest != (*even)->core().base->digest);
}
