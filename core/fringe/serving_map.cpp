// SPDX-License-Identifier: GPL-3.0-or-later
#include "fringe/serving_map.h"

#include "base/wide.h"

#include <algorithm>

namespace fw {
namespace {

// Receivers are taken in blocks, so that what is known of them stays in the nearest memory while cell after
// cell goes over it: rows of pixels, then those indoors.
constexpr int kBlock = 2048;
static_assert(kBlock % kTilePixels == 0 && kTileArea % kBlock == 0);

struct Block {
    std::size_t first = 0;
    int n = 0;
    const IndoorAngles* from = nullptr;           // whose elevations are at hand: each antenna has its own
    std::array<std::int16_t, kBlock> elevation{}; // of pixels
    std::array<std::int16_t, kBlock> pattern{};   // loss of the sector at hand
    std::array<std::int32_t, kBlock> power{};     // place of the cell's level in the table of powers
};

FW_WIDE void patternLoss(const PatternTable& p, int boresight, int n, const std::int16_t* azimuth,
                         const std::int16_t* elevation, std::int16_t* loss) {
    const std::int32_t *side = p.side.data(), *upright = p.upright.data() + PatternTable::kUpright;
    const int most = p.most;
    for (int i = 0; i < n; ++i) {
        const int off = azimuth[i] - boresight;
        const std::int32_t s = side[off < 0 ? off + 3600 : off];
        const int sum = (s >> 16) + upright[elevation[i] + static_cast<std::int16_t>(s & 0xffff)];
        loss[i] = static_cast<std::int16_t>(sum < most ? sum : most);
    }
}

// Whether a row of pixels lies all behind a sector, where its loss is the most at any elevation. Along a row
// north of the antenna (dy > 0) azimuths rise, south of it they fall, and never by half a turn.
bool behind(const PatternTable& p, int boresight, int dy, int first, int last) {
    const auto off = [&](int azimuth) {
        return azimuth < boresight ? azimuth - boresight + 3600 : azimuth - boresight;
    };
    const int a = dy > 0 ? off(first) : off(last), b = dy > 0 ? off(last) : off(first);
    return dy != 0 && p.backFrom <= a && a <= b && b <= p.backTo;
}

// Pattern loss of one sector at the receivers of a block. Where there is no path it may be anything.
void sectorLoss(const CellSource& c, const TileReceivers& tile, Block& b) {
    const PathSlice& s = *c.slice;
    if (b.first >= kTileArea) {
        const std::size_t k = b.first - kTileArea;
        patternLoss(*c.pattern, c.azimuth, b.n, s.indoor->azimuth.data() + k, s.indoor->elevation.data() + k,
                    b.pattern.data());
        return;
    }
    const int row0 = static_cast<int>(b.first) / kTilePixels;
    if (b.from != s.indoor.get()) {
        for (int at = 0; at < b.n; at += kTilePixels)
            streetElevations(s, tile, row0 + at / kTilePixels, b.elevation.data() + at);
        b.from = s.indoor.get();
    }
    const int c0 = std::max(0, s.pixelX - kAzimuthReach),
              c1 = std::min(kTilePixels - 1, s.pixelX + kAzimuthReach);
    for (int at = 0; at < b.n && c0 <= c1; at += kTilePixels) {
        const int dy = row0 + at / kTilePixels - s.pixelY;
        if (dy < -kAzimuthReach || dy > kAzimuthReach) continue;
        const int n = c1 - c0 + 1;
        const std::int16_t* azimuth = macroAzimuthRow(dy) + (c0 - s.pixelX + kAzimuthReach);
        std::int16_t* loss = b.pattern.data() + at + c0;
        if (behind(*c.pattern, c.azimuth, dy, azimuth[0], azimuth[n - 1]))
            std::fill(loss, loss + n, static_cast<std::int16_t>(c.pattern->most));
        else
            patternLoss(*c.pattern, c.azimuth, n, azimuth, b.elevation.data() + at + c0, loss);
    }
}

// Sorts one cell in among the strongest, and finds the place of its level in the table of powers.
FW_WIDE void sortIn(int n, int baseCenti, ServingKey low, const std::int16_t* pattern,
                    const std::int16_t* loss, ServingKey* k0, ServingKey* k1, ServingKey* k2,
                    std::int32_t* power) {
    for (int i = 0; i < n; ++i) {
        const int exact = baseCenti - pattern[i] - loss[i];
        const int level = exact > -32000 ? exact : -32000;
        const bool path = loss[i] != kNoPath;
        const ServingKey x = path ? static_cast<ServingKey>(level + 32768) << 16 | low : 0u;
        const ServingKey a = k0[i], b = k1[i], c = k2[i];
        const ServingKey out0 = a < x ? a : x, out1 = b < out0 ? b : out0;
        k0[i] = a < x ? x : a;
        k1[i] = b < out0 ? out0 : b;
        k2[i] = c < out1 ? out1 : c;
        const int place = level + ModelTables::kPowerOffset;
        const int most = place < ModelTables::kPowerLast ? place : ModelTables::kPowerLast;
        const int held = most > 0 ? most : 0;
        power[i] = path ? held : 0;
    }
}

void addCell(LayerLevels& l, const CellSource& c, Block& b, const ModelTables& tables) {
    sortIn(b.n, c.baseCenti, servingKey(-32768, c.roster), b.pattern.data(), c.slice->loss.data() + b.first,
           l.strongest[0].data() + b.first, l.strongest[1].data() + b.first, l.strongest[2].data() + b.first,
           b.power.data());
    const std::int64_t* table = tables.powerTable();
    std::int64_t* power = l.power.data() + b.first;
    for (int i = 0; i < b.n; ++i) power[i] += (table[b.power[static_cast<std::size_t>(i)]] * c.share) >> 16;
}

} // namespace

void addLevels(TileLevels& out, const TileReceivers& receivers, std::span<const CellSource> cells,
               const ModelTables& tables) {
    const std::size_t n = receivers.size();
    for (const CellSource& c : cells) {
        LayerLevels& l = out.layers[static_cast<std::size_t>(c.layer)];
        if (!l.empty()) continue;
        for (auto& k : l.strongest) k.assign(n, 0);
        l.power.assign(n, 0);
    }
    Block block;
    for (; block.first < n; block.first += kBlock) {
        block.n = static_cast<int>(std::min<std::size_t>(kBlock, n - block.first));
        block.from = nullptr;
        const CellSource* last = nullptr;
        for (const CellSource& c : cells) {
            if (!last || last->sector != c.sector || last->slice->indoor != c.slice->indoor)
                sectorLoss(c, receivers, block);
            addCell(out.layers[static_cast<std::size_t>(c.layer)], c, block, tables);
            last = &c;
        }
    }
}

void finishLevels(TileLevels& out, std::span<const std::int64_t> shares, const ModelTables& tables) {
    for (LayerLevels& l : out.layers) {
        const std::size_t n = l.power.size();
        l.sinr.assign(n, static_cast<std::int16_t>(kNoLevel));
        for (std::size_t i = 0; i < n; ++i) {
            const ServingKey k = l.strongest[0][i];
            if (!k || levelOf(k) < tables.servedFromCenti()) continue;
            const int sinr = levelOf(k) - tables.centiOf(interferenceOf(l, i, shares, tables));
            l.sinr[i] = static_cast<std::int16_t>(std::clamp(sinr, -32000, 32000));
        }
    }
}

TileLevels makeLevels(const TileReceivers& receivers, std::span<const CellSource> cells, int layerCount,
                      std::span<const std::int64_t> shares, const ModelTables& tables) {
    TileLevels out;
    out.key = receivers.key;
    out.layers.resize(static_cast<std::size_t>(layerCount));
    addLevels(out, receivers, cells, tables);
    finishLevels(out, shares, tables);
    return out;
}

} // namespace fw
