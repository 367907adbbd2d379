// SPDX-License-Identifier: GPL-3.0-or-later
// What channel quality a cell's users would report, counted over its receivers.
#include "radio/throughput.h"
#include "study/cost_spread.h"

#include <algorithm>
#include <array>
#include <numeric>

namespace fw {
namespace {

constexpr std::size_t kSteps = 16; // CQI 0 to 15
constexpr int kLowestCenti = -2000, kHighestCenti = 4000;

// Lowest SINR in 0.01 dB at which a CQI is reported.
const std::array<int, kSteps>& cqiFromCenti() {
    static const std::array<int, kSteps> from = [] {
        std::array<int, kSteps> out{};
        out.fill(kHighestCenti);
        for (int centi = kHighestCenti; centi >= kLowestCenti; --centi)
            for (int cqi = cqiAt(centi / 100.0); cqi > 0; --cqi) out[static_cast<std::size_t>(cqi)] = centi;
        out[0] = kLowestCenti;
        return out;
    }();
    return from;
}

std::size_t cqiOf(int centi) {
    const auto& from = cqiFromCenti();
    return static_cast<std::size_t>(std::upper_bound(from.begin() + 1, from.end(), centi) - from.begin() - 1);
}

void count(const TilePart& t, const Baseline& b, std::size_t cell, const CellScales& scales,
           std::array<double, kSteps>& sums) {
    const LayerLevels& l = t.levels->layers[static_cast<std::size_t>(b.cells[cell].layer)];
    if (l.empty()) return;
    const TileReceivers& r = *t.receivers;
    for (std::size_t i = 0; i < r.size(); ++i) {
        const std::int32_t w = r.weightOf(i);
        if (w <= 0 || l.sinr[i] == kNoLevel || rosterOf(l.strongest[0][i]) != cell) continue;
        const std::size_t ring = scales.rings.count > 0 ? ringOf(scales.rings, r.placeOf(i)) : 0;
        const CostScale& s = scales.byRing[ring];
        const double demand =
            w * b.tables->demandFactor(l.sinr[i]) * (i < kTileArea ? s.outdoor : s.indoor) / kChanceOne;
        for (std::size_t q = 0; q < kPoints; ++q)
            sums[cqiOf(l.sinr[i] + b.tables->macroCenti(q))] += demand * ModelTables::kPointWeight[q];
    }
}

void makeShares(std::vector<double>& counts) {
    const double all = std::accumulate(counts.begin(), counts.end(), 0.0);
    for (double& v : counts) v /= all;
}

} // namespace

std::optional<Study::UserCqi> Study::userCqi(ItemId id) const {
    const Baseline& b = *m_core->base;
    const int n = m_core->cellIndex(id);
    const Cell* cell = m_core->plan.cells.find(id);
    if (n < 0 || !cell) return std::nullopt;
    const auto at = static_cast<std::size_t>(n);
    const CellScales scales = userScalesOf(b, m_core->plan, at);
    std::array<double, kSteps> sums{};
    for (const TilePart& t : b.tiles) // always in the order of tiles
        if (std::any_of(t.demand->begin(), t.demand->end(),
                        [at](const DemandSum& s) { return s.roster == at; }))
            count(t, b, at, scales, sums);
    UserCqi out;
    out.computed.assign(sums.begin(), sums.end());
    if (std::accumulate(sums.begin(), sums.end(), 0.0) <= 0) return std::nullopt;
    makeShares(out.computed);
    out.samples = std::accumulate(cell->load.cqi.begin(), cell->load.cqi.end(), 0.0);
    if (out.samples <= 0) return out;
    out.measured = cell->load.cqi;
    out.measured.resize(kSteps, 0);
    makeShares(out.measured);
    return out;
}

} // namespace fw
