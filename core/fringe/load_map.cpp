// SPDX-License-Identifier: GPL-3.0-or-later
#include "fringe/load_map.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <map>

namespace fw {

std::uint16_t ringOf(const DemandRings& rings, PlanePoint p) {
    if (rings.count == 0) return 0;
    const PlanePoint d = p - rings.at;
    const double ring = std::floor(std::sqrt(dot(d, d)) / rings.widthM);
    return static_cast<std::uint16_t>(std::min(ring, rings.count - 1.0));
}

namespace {

// Most cells have no histogram, and no place is looked up for them.
std::uint16_t ringAt(const DemandRings& rings, const TileReceivers& r, std::size_t i) {
    return rings.count == 0 ? std::uint16_t{0} : ringOf(rings, r.placeOf(i));
}

} // namespace

std::vector<DemandSum> demandIn(const TileReceivers& r, const TileLevels& levels,
                                std::span<const DemandRings> rings, const ModelTables& t) {
    std::map<std::pair<std::uint16_t, std::uint16_t>, DemandSum> sums;
    for (const LayerLevels& l : levels.layers) {
        if (l.empty()) continue;
        DemandSum* last = nullptr;
        for (std::size_t i = 0; i < r.size(); ++i) {
            const std::int32_t w = r.weightOf(i);
            if (w <= 0 || l.sinr[i] == kNoLevel) continue;
            const std::uint16_t m = rosterOf(l.strongest[0][i]);
            const std::uint16_t ring = m < rings.size() ? ringAt(rings[m], r, i) : std::uint16_t{0};
            if (!last || last->roster != m || last->ring != ring) {
                last = &sums[{m, ring}];
                last->roster = m;
                last->ring = ring;
            }
            const double demand = w * t.demandFactor(l.sinr[i]), cost = w * t.costFactor(l.sinr[i]);
            (i < kTileArea ? last->outdoor : last->indoor) += demand;
            (i < kTileArea ? last->outdoorCost : last->indoorCost) += cost;
        }
    }
    std::vector<DemandSum> out;
    out.reserve(sums.size());
    for (const auto& [at, sum] : sums) out.push_back(sum);
    return out;
}

int densityBin(std::int64_t cost) {
    const std::int64_t density = cost / static_cast<std::int64_t>(kBlockM * kBlockM); // per m2, 2^-32 PRB
    if (density <= 0) return 0;
    const auto u = static_cast<std::uint64_t>(density);
    const int top = 63 - std::countl_zero(u);
    const auto below = static_cast<int>(top >= 3 ? (u >> (top - 3)) & 7 : (u << (3 - top)) & 7);
    return 1 + top * 8 + below;
}

std::size_t blockOf(const TileReceivers& r, std::size_t i) {
    constexpr int perBlock = kTilePixels / kTileBlocks;
    if (i < kTileArea) return i / kTilePixels / perBlock * kTileBlocks + i % kTilePixels / perBlock;
    const PlanePoint at = r.indoor[i - kTileArea].at;
    const int x = static_cast<int>(std::floor((at.x - r.key.x * kTileM) / kBlockM));
    const int y = static_cast<int>(std::floor((at.y - r.key.y * kTileM) / kBlockM));
    return static_cast<std::size_t>(std::clamp(y, 0, kTileBlocks - 1) * kTileBlocks +
                                    std::clamp(x, 0, kTileBlocks - 1));
}

namespace {

// Cost of each cell on each block of one layer, and from it every receiver's class.
void classify(const TileReceivers& r, const LayerLevels& l, const std::vector<std::int64_t>& cost,
              std::vector<std::uint16_t>& density,
              std::map<std::pair<std::uint16_t, std::uint16_t>, std::int64_t>& bins) {
    using Blocks = std::array<std::int64_t, kTileBlocks * kTileBlocks>;
    std::map<std::uint16_t, Blocks> cells;
    auto forEach = [&](auto&& f) {
        Blocks* at = nullptr;
        std::uint16_t last = 0; // neighbours mostly have the same server
        for (std::size_t i = 0; i < cost.size(); ++i) {
            if (cost[i] <= 0) continue;
            const std::uint16_t m = rosterOf(l.strongest[0][i]);
            if (!at || m != last) at = &cells.try_emplace(m, Blocks{}).first->second;
            last = m;
            f(i, (*at)[blockOf(r, i)]);
        }
    };
    forEach([&](std::size_t i, std::int64_t& sum) { sum += cost[i]; });
    for (const auto& [m, blocks] : cells)
        for (const std::int64_t sum : blocks)
            if (sum > 0) bins[{m, static_cast<std::uint16_t>(densityBin(sum))}] += sum;
    density.assign(cost.size(), 0);
    forEach(
        [&](std::size_t i, std::int64_t& sum) { density[i] = static_cast<std::uint16_t>(densityBin(sum)); });
}

} // namespace

TileCost spreadCost(const TileReceivers& r, const TileLevels& levels, std::span<const CellScales> scales,
                    const ModelTables& t) {
    TileCost out;
    out.key = r.key;
    out.layers.resize(levels.layers.size());
    out.density.resize(levels.layers.size());
    std::map<std::pair<std::uint16_t, std::uint16_t>, std::int64_t> bins;
    for (std::size_t k = 0; k < levels.layers.size(); ++k) {
        const LayerLevels& l = levels.layers[k];
        if (l.empty()) continue;
        auto& cost = out.layers[k];
        cost.assign(r.size(), 0);
        for (std::size_t i = 0; i < r.size(); ++i) {
            const std::int32_t w = r.weightOf(i);
            if (w <= 0 || l.sinr[i] == kNoLevel) continue;
            const std::uint16_t m = rosterOf(l.strongest[0][i]);
            const CellScales& cell = scales[m];
            const CostScale& at = cell.byRing[ringAt(cell.rings, r, i)];
            const double scale = i < kTileArea ? at.outdoor : at.indoor;
            cost[i] = static_cast<std::int64_t>(scale * (w * t.costFactor(l.sinr[i])));
        }
        classify(r, l, cost, out.density[k], bins);
    }
    for (const auto& [at, cost] : bins) out.bins.push_back({at.first, at.second, cost});
    return out;
}

std::uint16_t fringeFrom(std::span<const std::pair<std::uint16_t, std::int64_t>> bins, double share) {
    std::int64_t total = 0, sum = 0;
    for (const auto& [bin, cost] : bins) total += cost;
    if (total <= 0) return 65535;
    for (std::size_t k = bins.size(); k-- > 0;) {
        sum += bins[k].second;
        if (static_cast<double>(sum) >= share * static_cast<double>(total)) return bins[k].first;
    }
    return bins.front().first;
}

} // namespace fw
