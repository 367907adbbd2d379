// SPDX-License-Identifier: GPL-3.0-or-later
// What lies under the pointer, judged by the signs as they are drawn.
#pragma once

#include "canvas/map_view.h"

#include "canvas/map_items.h"
#include "canvas/scenery_index.h"

namespace fw {

/// What a hit is judged against; refers, does not own.
struct HitScene {
    const Camera& camera;
    const MapItems& items;
    const SceneryIndex* scenery; ///< null: none
    const Workspace& space;
    double scale;
    ItemId aimed, aimedHome; ///< radio with a turn handle, and its mount
};

/// Signs can be taken hold of from this far, however small they are drawn (pixels).
inline constexpr double kReachPx = 9;

std::vector<MapHit> hitsAt(const HitScene& scene, QPointF screen);
std::vector<ItemId> itemsIn(const HitScene& scene, const QRectF& screen);

} // namespace fw
