// SPDX-License-Identifier: GPL-3.0-or-later
// Channel quality of a cell's users, held against a count over the PRB cost of receivers that knows nothing
// of how the query counts.
#include "catch.h"
#include "study/state.h"
#include "support/flat_study.h"
#include "support/random_plan.h"

#include <cmath>
#include <numeric>

using namespace fw;
using namespace fw::testing;

namespace {

Plan townOfThreeMounts() {
    Random random(20261129);
    RandomPlanSpec spec;
    spec.areaM = 900;
    spec.buildings = 120;
    spec.mounts = 3;
    return randomPlan(random, spec);
}

// Efficiency by CQI as printed in TS 36.213, table 7.2.3-1.
constexpr double kPrinted[] = {0,      0.1523, 0.2344, 0.3770, 0.6016, 0.8770, 1.1758, 1.4766,
                               1.9141, 2.4063, 2.7305, 3.3223, 3.9023, 4.5234, 5.1152, 5.5547};

// Attenuated Shannon, TR 36.942, Annex A.1: 0.6 log2(1 + SINR), nothing below -10 dB.
std::size_t cqiByHand(double sinrDb) {
    if (sinrDb < -10) return 0;
    const double carried = 0.6 * std::log2(1 + std::pow(10.0, sinrDb / 10));
    std::size_t best = 0;
    for (std::size_t k = 1; k < 16; ++k)
        if (kPrinted[k] <= carried) best = k;
    return best;
}

struct CqiShares {
    std::vector<double> shares = std::vector<double>(16, 0);
    /// Of it, what lies so near to a limit that rounding puts it to either side: levels and nodes are whole
    /// hundredths of a dB in the query, and four printed places of an efficiency are up to 0.002 dB.
    std::vector<double> unclear = std::vector<double>(16, 0);
};

// Each receiver's bits out of its PRB cost, spread over the five nodes of Gauss and Hermite (Abramowitz and
// Stegun, table 25.10, n = 5, for a standard normal).
CqiShares sharesByHand(const Study& study, ItemId id) {
    constexpr double node[] = {-2.856970, -1.355626, 0, 1.355626, 2.856970};
    constexpr double weight[] = {0.011257, 0.222076, 0.533333, 0.222076, 0.011257};
    const Baseline& b = *study.core().base;
    const int n = study.core().cellIndex(id);
    const double sigma = study.plan().settings->model.macroSigmaDb;
    CqiShares out;
    for (const TilePart& t : b.tiles)
        for (std::size_t k = 0; k < t.cost->layers.size(); ++k) {
            const auto& cost = t.cost->layers[k];
            const LayerLevels& l = t.levels->layers[k];
            for (std::size_t i = 0; i < cost.size(); ++i) {
                if (cost[i] <= 0 || rosterOf(l.strongest[0][i]) != n) continue;
                const double bits = static_cast<double>(cost[i]) / b.tables->meanPerEfficiency(l.sinr[i]);
                for (std::size_t q = 0; q < 5; ++q) {
                    const double sinr = l.sinr[i] / 100.0 + sigma * node[q];
                    const std::size_t low = cqiByHand(sinr - 0.012), high = cqiByHand(sinr + 0.012);
                    out.shares[cqiByHand(sinr)] += bits * weight[q];
                    if (low != high) out.unclear[low] += bits * weight[q];
                    if (low != high) out.unclear[high] += bits * weight[q];
                }
            }
        }
    const double all = std::accumulate(out.shares.begin(), out.shares.end(), 0.0);
    for (double& v : out.shares) v /= all;
    for (double& v : out.unclear) v /= all;
    return out;
}

double sumOf(const std::vector<double>& v) { return std::accumulate(v.begin(), v.end(), 0.0); }

} // namespace

TEST_CASE("The CQI of a cell's users is what its receivers' SINR says, each by the bits it takes") {
    const auto study = flatStudyOf(townOfThreeMounts());
    int held = 0;
    for (const MacroCell& c : study->macroCells()) {
        if (!c.use) continue;
        const auto cqi = study->userCqi(c.id);
        if (!cqi) continue;
        const auto hand = sharesByHand(*study, c.id);
        REQUIRE(cqi->computed.size() == 16);
        CHECK(sumOf(cqi->computed) == Approx(1));
        for (std::size_t k = 0; k < 16; ++k)
            CHECK(cqi->computed[k] == Approx(hand.shares[k]).margin(hand.unclear[k] + 1e-4));
        int steps = 0;
        for (const double v : cqi->computed) steps += v > 0.01;
        held += steps >= 5 && sumOf(hand.unclear) < 0.03; // judged sharply
    }
    CHECK(held >= 2);
}

TEST_CASE("Demand raked to distances moves the CQI with it") {
    Plan plan = townOfThreeMounts();
    const auto plain = flatStudyOf(plan);
    int moved = 0;
    for (const MacroCell& c : plain->macroCells()) {
        if (!c.use) continue;
        Cell cell = *plan.cells.find(c.id);
        cell.load.timingAdvance.assign(10, 0); // everybody far out
        for (std::size_t k = 4; k < 10; ++k) cell.load.timingAdvance[k] = 1000;
        plan.cells.put(cell);
    }
    const auto far = flatStudyOf(plan);
    for (const MacroCell& c : far->macroCells()) {
        const auto distances = c.use ? far->userDistances(c.id) : std::nullopt;
        if (!distances || !distances->raked) continue;
        const auto before = plain->userCqi(c.id), after = far->userCqi(c.id);
        if (!after) continue;
        REQUIRE(before);
        const auto hand = sharesByHand(*far, c.id);
        for (std::size_t k = 0; k < 16; ++k)
            CHECK(after->computed[k] == Approx(hand.shares[k]).margin(hand.unclear[k] + 1e-4));
        moved += after->computed != before->computed;
    }
    CHECK(moved >= 2);
}

TEST_CASE("A measured CQI histogram comes as shares of its samples, and not at all without samples") {
    Plan plan = townOfThreeMounts();
    ItemId with, without;
    const auto first = flatStudyOf(plan);
    for (const MacroCell& c : first->macroCells())
        if (first->userCqi(c.id)) (with ? without : with) = c.id;
    REQUIRE(without);
    Cell cell = *plan.cells.find(with);
    cell.load.cqi = {0, 10, 0, 30};
    cell.load.dlPrbUse.reset(); // and no load: its users are there all the same
    plan.cells.put(cell);
    cell = *plan.cells.find(without);
    cell.load.cqi.clear();
    plan.cells.put(cell);
    const auto study = flatStudyOf(plan);
    const auto measured = study->userCqi(with);
    REQUIRE(measured);
    CHECK(measured->samples == 40);
    REQUIRE(measured->measured.size() == 16);
    CHECK(measured->measured[1] == 0.25);
    CHECK(measured->measured[3] == 0.75);
    CHECK(sumOf(measured->measured) == 1);
    CHECK(sumOf(measured->computed) == Approx(1));
    const auto none = study->userCqi(without);
    REQUIRE(none);
    CHECK(none->samples == 0);
    CHECK(none->measured.empty());
    CHECK_FALSE(study->userCqi(ItemId{}));
}
