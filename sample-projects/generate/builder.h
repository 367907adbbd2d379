// SPDX-License-Identifier: GPL-3.0-or-later
// Puts items into a plan one after another. Places are town metres; the plan gets plane metres.
#pragma once

#include "fabric.h"

#include "base/random.h"
#include "plan/plan.h"
#include "surface/surface.h"

#include <memory>
#include <string>
#include <vector>

namespace fw::town {

struct TreeSpot {
    PlanePoint at;
    double crownRadiusM = 3, topM = 8, crownBottomM = 2.5;
};

/// A town, its ground and the plan that grows on them.
struct Build {
    const Fabric& fabric;
    PlanePoint origin;
    std::shared_ptr<const Terrain> terrain; ///< in plane metres
    Plan plan;
    std::vector<ItemId> houseIds; ///< by house of the fabric
    /// Turns a grid direction (deg from grid north) into the true azimuth that is stored.
    double convergenceDeg = 0;

    ItemId next() {
        plan.lastId = plan.nextId();
        return plan.lastId;
    }
    [[nodiscard]] PlanePoint plane(PlanePoint town) const; ///< whole millimetres
    [[nodiscard]] PlanePoint town(PlanePoint plane) const { return plane - origin; }
    [[nodiscard]] double ground(PlanePoint town) const { return terrain->at(plane(town)); }
    /// Lowest ground within 10 m along a direction; all round without one. As mounts count their height.
    [[nodiscard]] double lowestAhead(PlanePoint town, const PlanePoint* direction) const;
    /// True azimuth of a direction, whole degrees.
    [[nodiscard]] TrueAzimuth azimuthOf(PlanePoint direction) const;
    /// Direction of a true azimuth.
    [[nodiscard]] PlanePoint directionOf(TrueAzimuth a) const;
};

void addScenery(Build& b, const std::vector<TreeSpot>& trees);
void addStreets(Build& b);

double rounded(double v, double step);
/// Free metres from a place along a direction before the first wall, looked at every metre.
double openAhead(const Fabric& fabric, PlanePoint from, PlanePoint direction, double reachM,
                 double skipM = 1);

} // namespace fw::town
