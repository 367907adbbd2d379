// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/fringe_map.h"

#include "base/text.h"
#include "fringe/fringe_area.h"
#include "study/state.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw {
namespace {

// Marks the pixels of one block of a tile.
void markBlock(Grid<std::uint8_t>& mask, TileKey tile, std::size_t block) {
    const double x0 = tile.x * kTileM + static_cast<double>(block % kTileBlocks) * kBlockM;
    const double y0 = tile.y * kTileM + static_cast<double>(block / kTileBlocks) * kBlockM;
    const int cx = mask.colOf(x0 + 1), cy = mask.rowOf(y0 + 1), n = static_cast<int>(kBlockM / kPixelM);
    for (int y = 0; y < n; ++y)
        for (int x = 0; x < n; ++x) mask.at(cx + x, cy + y) = 1;
}

} // namespace

FringeMap fringeOf(const Study& study, ItemId cell) {
    FringeMap out;
    out.cell = cell;
    const StudyCore& core = study.core();
    const Baseline& b = *core.base;
    const int at = core.cellIndex(cell);
    if (at < 0) return out;
    const auto n = static_cast<std::size_t>(at);
    const auto layer = static_cast<std::size_t>(b.cells[n].layer);
    Grid<std::uint8_t> mask(b.tileX0 * kTileM, b.tileY0 * kTileM, kPixelM, b.tilesW * kTilePixels,
                            b.tilesH * kTilePixels, 0);
    std::int64_t inside = 0;
    for (const TilePart& t : b.tiles) {
        const auto& cost = t.cost->layers[layer];
        if (cost.empty()) continue;
        for (std::size_t i = 0; i < cost.size(); ++i) {
            if (cost[i] <= 0 || rosterOf(t.levels->layers[layer].strongest[0][i]) != n) continue;
            if (t.cost->density[layer][i] < b.fringeFrom[n]) continue;
            inside += cost[i];
            markBlock(mask, t.cost->key, blockOf(*t.receivers, i));
        }
    }
    out.areas = outlines(smoothed(mask));
    for (const Polygon& p : out.areas) out.areaM2 += areaOf(p);
    const auto movable = static_cast<double>(b.runtime[n].movable);
    out.costShare = movable > 0 ? static_cast<double>(inside) / movable : 0;
    return out;
}

Result<Edit> fringeToAreas(const Study& study, const FringeMap& fringe) {
    if (fringe.areas.empty())
        return Error{ErrorCode::badInput,
                     CORE_TEXT("has no fringe: it carries no measured load in the area of work"),
                     study.plan().label(fringe.cell)};
    const std::string name = study.plan().label(fringe.cell);
    Edit e;
    e.text = fmt::format("Take fringe of {} as congestion area", name);
    ItemId id = study.plan().nextId();
    for (std::size_t k = 0; k < fringe.areas.size(); ++k, ++id.v)
        e.changes.push_back(
            Put{CongestionArea{id,
                               fringe.areas.size() > 1 ? fmt::format("Fringe of {}, part {}", name, k + 1)
                                                       : fmt::format("Fringe of {}", name),
                               fringe.areas[k], 1}});
    return e;
}

} // namespace fw
