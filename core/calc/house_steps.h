// SPDX-License-Identifier: GPL-3.0-or-later
// Steps that the rural cells of TR 38.901 share with the suburban ones of M.2135.
#pragma once

#include "base/units.h"
#include "base/working.h"
#include "radio/rural_macro.h"

namespace fw::calc {

struct HouseEnds {
    double stationM = 0, terminalM = 0; ///< above the ground
    Hertz f;
};
/// The loss with sight over a distance (m) that the formula calls `name`. @param beyond  the breakpoint.
void sightOverHouses(Working& out, const StreetGrid& grid, const char* name, double distanceM, bool beyond,
                     const HouseEnds& ends);

} // namespace fw::calc
