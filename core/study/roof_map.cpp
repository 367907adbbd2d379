// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/roof_map.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace fw {

RoofMap::RoofMap(const Baseline& b) : m_patches(b.tiles.size()) {
    for (std::size_t t = 0; t < b.tiles.size(); ++t) {
        const auto& indoor = b.tiles[t].receivers->indoor; // grouped by building
        for (std::size_t n = 0; n < indoor.size(); ++n) {
            if (n == 0 || indoor[n].building != indoor[n - 1].building)
                m_buildings.push_back({indoor[n].building, t, n, 0, 0});
            ++m_buildings.back().receivers;
        }
    }
    std::sort(m_buildings.begin(), m_buildings.end(),
              [](const Building& x, const Building& y) { return x.id < y.id; });
    for (std::size_t t = 0; t < b.tiles.size(); ++t) addTile(b, t);
    for (std::size_t n = 0; n < m_buildings.size(); ++n) {
        Building& slim = m_buildings[n];
        if (slim.cells) continue;
        const TileReceivers& r = *b.tiles[slim.tile].receivers;
        const PlanePoint at = r.indoor[slim.first].at;
        const auto along = [](double from) {
            return static_cast<std::uint32_t>(
                std::clamp(static_cast<int>(std::floor(from / kPixelM)), 0, kTilePixels - 1));
        };
        const std::uint32_t pixel =
            along(at.y - r.key.y * kTileM) * kTilePixels + along(at.x - r.key.x * kTileM);
        m_patches[slim.tile].push_back({pixel, static_cast<std::uint32_t>(n), slim.cells = 1});
    }
}

void RoofMap::addTile(const Baseline& b, std::size_t t) {
    const SurfaceTile* s = b.surface->tile(b.tiles[t].receivers->key);
    if (!s) return;
    const auto& prisms = b.surface->prisms();
    const int perPixel = std::max(1, static_cast<int>(std::lround(kPixelM / b.surface->cellM())));
    auto& out = m_patches[t];
    std::optional<std::uint32_t> last;
    int building = -1;
    for (int y = 0; y < s->top.height; ++y)
        for (int x = 0; x < s->top.width; ++x) {
            const SurfaceTile::Roofed* roof = s->roofOver(s->top.index(x, y));
            if (!roof) continue;
            if (roof->prism != last) building = place(prisms[roof->prism].id);
            last = roof->prism;
            if (building < 0) continue;
            const auto pixel = static_cast<std::uint32_t>(y / perPixel * kTilePixels + x / perPixel);
            const auto at = static_cast<std::uint32_t>(building);
            ++m_buildings[at].cells;
            if (!out.empty() && out.back().pixel == pixel && out.back().building == at)
                ++out.back().cells;
            else
                out.push_back({pixel, at, 1});
        }
}

int RoofMap::place(ItemId id) const {
    const auto it = std::lower_bound(m_buildings.begin(), m_buildings.end(), id,
                                     [](const Building& x, ItemId v) { return x.id < v; });
    return it != m_buildings.end() && it->id == id ? static_cast<int>(it - m_buildings.begin()) : -1;
}

} // namespace fw
