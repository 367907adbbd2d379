// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/cost_by_bearing.h"

#include "fringe/path_kernel.h"
#include "fringe/small_path.h"
#include "study/state.h"

#include <algorithm>
#include <numeric>
#include <set>

namespace fw {

namespace {

constexpr int kBinTenths = 3600 / CostByBearing::kBins;

std::size_t bearingBin(int azimuthTenths) {
    return static_cast<std::size_t>(((azimuthTenths % 3600) + 3600) % 3600 / kBinTenths);
}

void addOpenGround(CostByBearing& out, const Baseline& b, const TilePart& t, const SmallPath& p, int layer) {
    const TileKey key = t.receivers->key;
    const int tx = key.x * kTilePixels, ty = key.y * kTilePixels;
    const int c0 = std::max(tx, p.pixelX - p.radius),
              c1 = std::min(tx + kTilePixels - 1, p.pixelX + p.radius);
    const int r0 = std::max(ty, p.pixelY - p.radius),
              r1 = std::min(ty + kTilePixels - 1, p.pixelY + p.radius);
    for (int y = r0; y <= r1; ++y) {
        const std::int16_t* azimuth = smallAzimuthRow(p.parity, y - p.pixelY) + kSmallReach;
        for (int x = c0; x <= c1; ++x) {
            const std::size_t at = p.index(x - p.pixelX, y - p.pixelY);
            if (!p.clear[at] || p.loss[at] == kNoPath) continue;
            const auto i = static_cast<std::size_t>((y - ty) * kTilePixels + x - tx);
            out.points[bearingBin(azimuth[x - p.pixelX])] += costPoints(b, t, i, layer);
        }
    }
}

// All floors of the buildings that are in sight, each group of users at its own bearing.
void addIndoors(CostByBearing& out, const Baseline& b, const TilePart& t, const SmallPath& p, int layer) {
    const auto& all = t.receivers->indoor; // ascending by building
    for (const SmallPath::TileIndoor& tile : p.indoor) {
        if (tile.key != t.receivers->key) continue;
        std::set<ItemId> seen;
        for (const SmallPath::Indoor& in : tile.list)
            if (in.clear) seen.insert(all[in.receiver - kTileArea].building);
        for (const ItemId building : seen) {
            auto it = std::lower_bound(all.begin(), all.end(), building,
                                       [](const IndoorReceiver& r, ItemId id) { return r.building < id; });
            for (; it != all.end() && it->building == building; ++it)
                out.points[bearingBin(tenths(gridAzimuth(p.centre, it->at).deg))] +=
                    costPoints(b, t, kTileArea + static_cast<std::size_t>(it - all.begin()), layer);
        }
    }
}

} // namespace

double CostByBearing::total() const { return std::accumulate(points.begin(), points.end(), 0.0); }

double CostByBearing::at(GridAzimuth azimuth) const {
    const auto k = static_cast<int>(wrap360(azimuth.deg) / kBinDeg);
    return points[static_cast<std::size_t>(std::min(k, kBins - 1))];
}

std::shared_ptr<const CostByBearing> costByBearing(const Study& study, ItemId small) {
    const StudyCore& core = study.core();
    const int at = core.smallIndex(small);
    if (at < 0) return nullptr;
    const auto n = static_cast<std::size_t>(at);
    const SmallRuntime& r = core.smallRuntime[n];
    const int layer = core.smalls[n].layer;
    const Digest key =
        Digester{}.add(core.base->digest).add(r.pathKey).add(static_cast<double>(layer)).done();
    return core.memos->costByBearing.get(key, [&] {
        auto out = std::make_shared<CostByBearing>();
        if (r.path)
            for (const TilePart& t : core.base->tiles) {
                addOpenGround(*out, *core.base, t, *r.path, layer);
                addIndoors(*out, *core.base, t, *r.path, layer);
            }
        return std::shared_ptr<const CostByBearing>(std::move(out));
    });
}

} // namespace fw
