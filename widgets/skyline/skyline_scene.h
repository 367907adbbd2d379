// SPDX-License-Identifier: GPL-3.0-or-later
// What one radio sees, gathered from a study.
#pragma once

#include "delivery/skyline_things.h"
#include "review/blocked_bearings.h"
#include "study/cost_by_bearing.h"
#include "study/study.h"

#include <memory>
#include <optional>
#include <vector>

namespace fw {

struct SkylineScene {
    ItemId mount, radio, small;
    std::shared_ptr<const Skyline> skyline; ///< null: nothing to show
    double convergenceDeg = 0;
    ItemId ownBuilding; ///< that carries the mount
    std::shared_ptr<const CostByBearing> cost;
    std::vector<SkylineThing> things; ///< nearest first
    double hBeamDeg = 65, vBeamDeg = 30;
    std::vector<double> tiltsDeg; ///< that the bracket allows, ascending

    [[nodiscard]] const Skyline::Bearing& towards(double trueDeg) const {
        return skyline->at(wrap360(trueDeg - convergenceDeg));
    }
};

/// @param before  whose other sites are kept where the mount has not moved and nothing but this radio is
/// being changed (`sameOthers`): sight to them is the dear part.
SkylineScene sceneOf(const Study& study, ItemId small, const SkylineScene& before, bool sameOthers);

/// Range of elevations that holds the tops (the own wall may run out) and the beam at every allowed tilt.
struct ElevationRange {
    double bottomDeg = -20, topDeg = 30;
};
ElevationRange elevationRange(const SkylineScene& scene);

} // namespace fw
