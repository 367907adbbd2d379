// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"
#include "plan/wall_snap.h"

#include <QObject>

#include <memory>

namespace fw {

/// How far from a wall the pointer still takes it: pixels, and metres however small the scale.
inline constexpr double kSnapPx = 16, kSnapFarthestM = 20;

class MapView;

/// Keeps the walls of the open plan at hand for the tools of one map. Large towns are indexed by a worker:
/// until it is done there are no walls.
class WallFinder : public QObject {
    Q_OBJECT
public:
    /// The one of a map, made when first asked for.
    static WallFinder& of(MapView& map);

    /// Of the plan as it is; null while it is being made.
    const WallIndex* walls();

private:
    explicit WallFinder(MapView& map);
    Workspace& m_space;
    std::shared_ptr<const WallIndex> m_walls;
    bool m_making = false;
};

} // namespace fw
