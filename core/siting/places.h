// SPDX-License-Identifier: GPL-3.0-or-later
// Where else a mount could stand near where it does.
#pragma once

#include "study/study.h"

#include <string>
#include <vector>

namespace fw {

/// A place to which a mount could be shifted.
struct ShiftedMount {
    Mount mount;         ///< at that place, looking away from its wall
    double metres = 0;   ///< from where it stands
    std::string towards; ///< "north-east": roughly where to
};

/// Along its wall or edge to both sides as far as that goes, on its roof, or about its foot in eight
/// directions, clear of walls; at distances that grow from `stepM`, at most `reachM`. Ascending by distance.
std::vector<ShiftedMount> placesNear(const Study& study, const Mount& mount, double stepM, double reachM);

} // namespace fw
