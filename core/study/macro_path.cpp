// SPDX-License-Identifier: GPL-3.0-or-later
// How a macro cell reaches one receiver: what the maps are made of, at one place.
#include "study/state.h"

#include <algorithm>
#include <cmath>

namespace fw {

PixelPlace pixelOf(const Baseline& b, PlanePoint p) {
    const TileKey key = tileOf(p);
    PixelPlace at;
    at.tile = b.tileIndex(key);
    if (at.tile < 0) return at;
    const int x = static_cast<int>(std::floor((p.x - key.x * kTileM) / kPixelM));
    const int y = static_cast<int>(std::floor((p.y - key.y * kTileM) / kPixelM));
    at.pixel = static_cast<std::size_t>(std::clamp(y, 0, kTilePixels - 1) * kTilePixels +
                                        std::clamp(x, 0, kTilePixels - 1));
    return at;
}

namespace {

// `azimuth` is a whole number of 0.1 deg on the grid, as kernels have it.
std::optional<Study::MacroPath> pathOf(const Baseline& b, std::size_t cell, const PathSlice& s, int tile,
                                       std::size_t i, int azimuth, PlanePoint at) {
    if (s.loss[i] == kNoPath) return {};
    const CellRuntime& r = b.runtime[cell];
    const int elevation = elevationOf(s, *b.tiles[static_cast<std::size_t>(tile)].receivers, i);
    const int pattern = r.pattern->lossCenti(azimuth - r.azimuth, elevation);
    Study::MacroPath p;
    p.levelDbm = (r.baseCenti + r.scsCenti - s.loss[i] - pattern) / 100.0;
    p.azimuth = GridAzimuth::of(azimuth / 10.0);
    p.elevationDeg = elevation / 10.0;
    p.distanceM = planeDistance(b.antennas[static_cast<std::size_t>(r.antenna)]->antenna.at, at);
    p.patternLossDb = pattern / 100.0;
    return p;
}

} // namespace

std::optional<double> Study::macroCellAt(ItemId cell, PlanePoint p) const {
    // The strongest are at hand.
    const Baseline& b = *m_core->base;
    const int n = m_core->cellIndex(cell);
    const PixelPlace at = pixelOf(b, p);
    if (n < 0 || at.tile < 0) return {};
    const TileLevels& levels = *b.tiles[static_cast<std::size_t>(at.tile)].levels;
    const LayerLevels& layer =
        levels.layers[static_cast<std::size_t>(b.cells[static_cast<std::size_t>(n)].layer)];
    if (layer.empty()) return {};
    for (const auto& strongest : layer.strongest)
        if (const ServingKey k = strongest[at.pixel]; k && rosterOf(k) == n)
            return (levelOf(k) + b.runtime[static_cast<std::size_t>(n)].scsCenti) / 100.0;
    const auto path = macroPathTo(cell, p);
    if (!path) return {};
    return path->levelDbm;
}

std::optional<Study::MacroPath> Study::macroPathTo(ItemId cell, PlanePoint p) const {
    const Baseline& b = *m_core->base;
    const int n = m_core->cellIndex(cell);
    const PixelPlace at = pixelOf(b, p);
    if (n < 0 || at.tile < 0) return {};
    const auto s = sliceOf(*m_core, static_cast<std::size_t>(n), static_cast<std::size_t>(at.tile));
    if (!s) return {};
    const int dx = static_cast<int>(at.pixel % kTilePixels) - s->pixelX,
              dy = static_cast<int>(at.pixel / kTilePixels) - s->pixelY;
    if (std::abs(dx) > kAzimuthReach || std::abs(dy) > kAzimuthReach) return {};
    return pathOf(b, static_cast<std::size_t>(n), *s, at.tile, at.pixel,
                  macroAzimuthRow(dy)[dx + kAzimuthReach], p);
}

std::optional<Study::MacroPath> Study::macroPathInto(ItemId cell, PlanePoint p, double aboveGroundM) const {
    const Baseline& b = *m_core->base;
    const int n = m_core->cellIndex(cell), prism = b.surface->prismAt(p);
    if (n < 0 || prism < 0) return {};
    const Prism& house = b.surface->prisms()[static_cast<std::size_t>(prism)];
    const int tile = b.tileIndex(tileOf(centroidOf(house.footprint)));
    if (tile < 0) return {};
    const auto& indoor = b.tiles[static_cast<std::size_t>(tile)].receivers->indoor; // ascending by building
    auto it = std::lower_bound(indoor.begin(), indoor.end(), house.id,
                               [](const IndoorReceiver& r, ItemId id) { return r.building < id; });
    auto best = indoor.end();
    std::pair<double, double> nearest{HUGE_VAL, HUGE_VAL}; // the storey decides, then the facade
    for (; it != indoor.end() && it->building == house.id; ++it) {
        const std::pair off{std::fabs(it->aboveGroundM - aboveGroundM), planeDistance(it->at, p)};
        if (off >= nearest) continue;
        nearest = off;
        best = it;
    }
    const auto s = sliceOf(*m_core, static_cast<std::size_t>(n), static_cast<std::size_t>(tile));
    if (best == indoor.end() || !s) return {};
    const auto k = static_cast<std::size_t>(best - indoor.begin());
    auto path = pathOf(b, static_cast<std::size_t>(n), *s, tile, kTileArea + k, s->indoor->azimuth[k], p);
    if (path) path->entry = best->entry;
    return path;
}

double Study::macroPatternLossDb(ItemId cell, double offDeg, double elevationDeg) const {
    const int n = m_core->cellIndex(cell);
    if (n < 0) return 0;
    return m_core->base->runtime[static_cast<std::size_t>(n)].pattern->lossCenti(tenths(offDeg),
                                                                                 tenths(elevationDeg)) /
           100.0;
}

GridAzimuth Study::macroAzimuth(ItemId cell) const {
    const int n = m_core->cellIndex(cell);
    return n < 0 ? GridAzimuth{}
                 : GridAzimuth::of(m_core->base->runtime[static_cast<std::size_t>(n)].azimuth / 10.0);
}

} // namespace fw
