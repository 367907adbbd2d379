// SPDX-License-Identifier: GPL-3.0-or-later
// From receivers that hold half of a cell's cost to areas somebody can walk round.
#pragma once

#include "geo/grid.h"

#include <cstdint>
#include <vector>

namespace fw {

/// Joins and rounds a scatter of pixels: a pixel belongs where enough of its surroundings do (radius 4
/// pixels), parts and holes under `leastM2` vanish.
Grid<std::uint8_t> smoothed(const Grid<std::uint8_t>& mask, double leastM2 = 1500);

/// Outlines of the set pixels, corners simplified to within `toleranceM` (below a pixel's side, so that
/// outlines do not cross). Outer rings run anticlockwise, holes clockwise; areas ordered by their lowest,
/// then leftmost pixel.
std::vector<Polygon> outlines(const Grid<std::uint8_t>& mask, double toleranceM = 3);

} // namespace fw
