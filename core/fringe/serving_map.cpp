// SPDX-License-Identifier: GPL-3.0-or-later
#include "fringe/serving_map.h"

#include <algorithm>

namespace fw {
namespace {

// Pattern loss of one sector at every receiver of a tile.
void sectorLoss(const TileReceivers& r, const CellSource& c, std::vector<std::int16_t>& loss) {
    const PathSlice& s = *c.slice;
    const PatternTable& p = *c.pattern;
    const auto& elevation = *s.elevation;
    for (int row = 0; row < kTilePixels; ++row) {
        const int dy = row - s.pixelY;
        const std::size_t base = static_cast<std::size_t>(row) * kTilePixels;
        if (dy < -kAzimuthReach || dy > kAzimuthReach) continue;
        const std::int16_t* az = macroAzimuthRow(dy);
        const int c0 = std::max(0, s.pixelX - kAzimuthReach),
                  c1 = std::min(kTilePixels - 1, s.pixelX + kAzimuthReach);
        for (int col = c0; col <= c1; ++col) {
            const std::size_t i = base + static_cast<std::size_t>(col);
            if (s.loss[i] == kNoPath) continue;
            int a = az[col - s.pixelX + kAzimuthReach] - c.azimuth;
            if (a < 0) a += 3600;
            loss[i] = static_cast<std::int16_t>(p.lossWrapped(a, elevation[i]));
        }
    }
    for (std::size_t k = 0; k < r.indoor.size(); ++k) {
        const std::size_t i = kTileArea + k;
        if (s.loss[i] == kNoPath) continue;
        int a = (*s.indoorAzimuth)[k] - c.azimuth;
        if (a < 0) a += 3600;
        loss[i] = static_cast<std::int16_t>(p.lossWrapped(a, elevation[i]));
    }
}

void addCell(LayerLevels& l, const CellSource& c, const std::vector<std::int16_t>& pattern,
             const ModelTables& tables) {
    const std::size_t n = l.power.size();
    const std::int16_t* loss = c.slice->loss.data();
    ServingKey *k0 = l.strongest[0].data(), *k1 = l.strongest[1].data(), *k2 = l.strongest[2].data();
    for (std::size_t i = 0; i < n; ++i) {
        if (loss[i] == kNoPath) continue;
        const int level = std::max(-32000, c.baseCenti - pattern[i] - loss[i]);
        const ServingKey x = servingKey(level, c.roster);
        const ServingKey y0 = std::max(k0[i], x), t0 = std::min(k0[i], x);
        const ServingKey y1 = std::max(k1[i], t0), t1 = std::min(k1[i], t0);
        k0[i] = y0;
        k1[i] = y1;
        k2[i] = std::max(k2[i], t1);
        l.power[i] += (tables.power(level) * c.share) >> 16;
    }
}

} // namespace

TileLevels makeLevels(const TileReceivers& receivers, std::span<const CellSource> cells, int layerCount,
                      std::span<const std::int64_t> shares, const ModelTables& tables) {
    TileLevels out;
    out.key = receivers.key;
    out.layers.resize(static_cast<std::size_t>(layerCount));
    const std::size_t n = receivers.size();
    std::vector<std::int16_t> pattern(n);
    const CellSource* last = nullptr;
    for (const CellSource& c : cells) {
        LayerLevels& l = out.layers[static_cast<std::size_t>(c.layer)];
        if (l.empty()) {
            for (auto& k : l.strongest) k.assign(n, 0);
            l.power.assign(n, 0);
        }
        if (!last || last->sector != c.sector || last->slice->elevation != c.slice->elevation)
            sectorLoss(receivers, c, pattern);
        addCell(l, c, pattern, tables);
        last = &c;
    }
    for (LayerLevels& l : out.layers) {
        if (l.empty()) continue;
        l.sinr.assign(n, static_cast<std::int16_t>(kNoLevel));
        for (std::size_t i = 0; i < n; ++i) {
            const ServingKey k = l.strongest[0][i];
            if (!k || levelOf(k) < tables.servedFromCenti()) continue;
            const int sinr = levelOf(k) - tables.centiOf(interferenceOf(l, i, shares, tables));
            l.sinr[i] = static_cast<std::int16_t>(std::clamp(sinr, -32000, 32000));
        }
    }
    return out;
}

} // namespace fw
