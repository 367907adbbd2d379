// SPDX-License-Identifier: GPL-3.0-or-later
// Edges on the skyline that a crew can aim by: a compass goes wrong beside steel, a building corner does not.
#pragma once

#include "base/units.h"
#include "geo/shape.h"
#include "surface/skyline.h"

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace fw {

/// A building as a crew would know it.
struct SightSolid {
    Polygon footprint;
    double heightM = 0;
    int storeys = 0;
    std::string name;
};

struct SightMark {
    int number = 0;            ///< 1.. from left to right
    double azimuthTrueDeg = 0; ///< of the corner, from the antenna
    double offsetDeg = 0;      ///< from the boresight, right positive
    double distanceM = 0;      ///< on the ground
    double elevationDeg = 0;   ///< of its top, from the antenna
    bool leftCorner = false;   ///< which end of the building, as seen from the antenna
    ItemId building;
    PlanePoint at;    ///< the corner
    std::string what; ///< "left corner of Harbour Mill"
    std::string text; ///< the whole line: offset, what, distance, elevation
};

struct SightTask {
    PlanePoint at;
    GridAzimuth azimuth;       ///< boresight
    double convergenceDeg = 0; ///< true = grid + convergence
    double scale = 1;          ///< plane metres per ground metre
    ItemId own;                ///< building that carries the antenna; never a mark
};

/// Up to three marks, left to right: the best within 10 deg of the boresight, and one to either side of it
/// (8 to 60 deg off). A mark is the end of a building that stands at least 1.5 deg above what follows, 20 to
/// 400 m away: nearer ones wander with the arm's length of whoever looks, farther ones are hard to tell
/// apart. Trees and ground are never marks. Azimuth to 0.1 deg as the plan has the corner. Which edges count
/// as distinct is own judgement.
/// @param solid  the building of an id, or empty (trees, unknown)
std::vector<SightMark> sightMarks(const Skyline& skyline, const SightTask& task,
                                  const std::function<std::optional<SightSolid>(ItemId)>& solid);

/// What the boresight itself points at, level with the antenna: a building, a tree or rising ground
/// and how far, or nothing for 400 m.
std::string boresightText(const Skyline& skyline, const SightTask& task,
                          const std::function<std::optional<SightSolid>(ItemId)>& solid);

/// "Harbour Mill", "tall block, 9 storeys", "block, 3 storeys", "low building".
std::string describe(const SightSolid& solid);

} // namespace fw
