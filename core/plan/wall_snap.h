// SPDX-License-Identifier: GPL-3.0-or-later
// Where a mount can be fixed to a building: the nearest wall or corner of an outline.
#pragma once

#include "geo/index.h"
#include "plan/scenery.h"

#include <optional>
#include <vector>

namespace fw {

inline constexpr double kOffWallM = 0.3;    ///< an antenna on a wall hangs so far out [prac]
inline constexpr double kBehindEdgeM = 0.2; ///< one on a parapet stands so far in [prac]
inline constexpr double kInsideRoofM = 0.5; ///< a roof mount keeps at least so far from the edge [own]

/// A place on the outline of a building.
struct WallSnap {
    ItemId building;
    PlanePoint at;          ///< on the outline
    PlanePoint left, right; ///< corners of the wall as seen from outside
    GridAzimuth outward;    ///< normal of the wall, away from the building
    bool corner = false;    ///< `at` is one of its corners
    double wallM = 0;       ///< length of the wall
    double fromLeftM = 0;   ///< of `at` from the left corner
    double distanceM = 0;   ///< of the asked place from `at`

    /// A place so far out from the wall, inwards when negative.
    [[nodiscard]] PlanePoint outBy(double m) const;
};

/// Finds walls of a scenery; a copy of it is kept (chunks are shared). Immutable, for any number of threads.
class WallIndex {
public:
    explicit WallIndex(const Scenery& scenery);
    /// Whether it was made of the same buildings.
    [[nodiscard]] bool isOf(const Scenery& scenery) const;

    /// The nearest wall within reach whose outside is free (not a wall shared with the house next door), or a
    /// corner of it when one lies within a third of the reach.
    [[nodiscard]] std::optional<WallSnap> snap(PlanePoint near, double reachM) const;
    /// The nearest wall of one building, whatever stands outside it.
    [[nodiscard]] std::optional<WallSnap> snapTo(ItemId building, PlanePoint near) const;
    /// Building whose outline holds a place; edges count. The highest where several do.
    [[nodiscard]] std::optional<Building> buildingAt(PlanePoint p) const;

private:
    [[nodiscard]] Building building(std::uint32_t index) const;
    [[nodiscard]] bool freeOutside(const WallSnap& wall) const;
    std::vector<Scenery::BuildingChunkPtr> m_chunks;
    std::vector<std::uint32_t> m_first; ///< per chunk: index of its first building
    BoxIndex m_boxes;
};

/// Where a mount of a kind would stand near a place.
struct Footing {
    MountKind kind = MountKind::pole;
    PlanePoint at;
    std::optional<WallSnap> wall; ///< what it was drawn to; for roofs the edge it was kept off
    ItemId building;              ///< that carries it
    /// Outward normal of its wall or parapet.
    [[nodiscard]] std::optional<GridAzimuth> faces() const;
};
/// For a mount whose kind is settled: on the wall, behind the edge, inside the outline. Out of reach of a
/// fitting building it stands where it was put, with no building.
Footing footingOf(const WallIndex& walls, MountKind kind, PlanePoint near, double reachM);
/// For a new one, by what is there: near a wall on that wall (behind its edge where `onEdge`), inside a
/// building on its roof, else a pole.
Footing footingAt(const WallIndex& walls, PlanePoint near, double reachM, bool onEdge);

} // namespace fw
