// SPDX-License-Identifier: GPL-3.0-or-later
// What the chosen small cells change on the ground, for a map of a pack.
#pragma once

#include "geo/grid.h"

#include <cstdint>

namespace fw {

class Study;

/// SINR of the cell that serves, over all layers, 1.5 m above open ground (0.01 dB; kNothingHeard). Both
/// grids lie alike, on whole pixels of the study, and cover the bounds as far as the study does.
struct ChangeMap {
    Grid<std::int16_t> before, after;
};

/// @param most  cells along the longer side; larger areas get cells that are means of those heard.
ChangeMap changeMap(const Study& study, const Box& bounds, int most = 900);

} // namespace fw
