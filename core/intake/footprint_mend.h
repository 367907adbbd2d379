// SPDX-License-Identifier: GPL-3.0-or-later
// Outlines as people draw them, made into areas that can be built upon.
#pragma once

#include "geo/shape.h"

#include <cstdint>
#include <vector>

namespace fw {

/// True when no ring crosses or touches itself or another one, holes lie inside the outer ring and none in
/// another. In doubt (corners that touch an edge within rounding) it says no. Thread-safe.
bool surelyValid(const Polygon& p);

/// What became of the outlines that were handed in.
struct MendTally {
    std::int64_t mended = 0;  ///< crossed or touched themselves, and came out as areas
    std::int64_t slivers = 0; ///< parts under 1 m2 that were left out
    std::int64_t lost = 0;    ///< had no area at all
};

/// Areas of one outline in plane metres: itself when it is valid, else what the library's MakeValid makes of
/// it (method "structure": what any loop encloses, less the holes), each part an area of its own, in a fixed
/// order. Rings come out as Polygon wants them. Parts under 1 m2 are left out. Empty when nothing is left.
/// Thread-safe.
std::vector<Polygon> mendedFootprint(Polygon outline, MendTally& tally);

} // namespace fw
