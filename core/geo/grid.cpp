// SPDX-License-Identifier: GPL-3.0-or-later
#include "geo/grid.h"

namespace fw {

std::vector<TileKey> tilesOf(const Box& box) {
    std::vector<TileKey> out;
    if (box.empty()) return out;
    const TileKey first = tileOf({box.x0, box.y0}), last = tileOf({box.x1, box.y1});
    for (std::int32_t y = first.y; y <= last.y; ++y)
        for (std::int32_t x = first.x; x <= last.x; ++x) out.push_back({x, y});
    return out;
}

} // namespace fw
