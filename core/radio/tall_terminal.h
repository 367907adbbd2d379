// SPDX-License-Identifier: GPL-3.0-or-later
// Urban macro cells and terminals above 13 m, on upper floors, where the two-ray ground is no longer the
// street.
#pragma once

#include "base/units.h"

#include <vector>

namespace fw {

/// What the source draws the environment's height from: 1 m with a chance, else one of `others`, each equally
/// likely. `others` is empty where 1 m is certain.
struct EnvironmentHeights {
    double oneMetreChance = 1;
    std::vector<double> others; ///< 12, 15, ... up to hUt - 1.5 (m)
};
/// @param d2dM  along the ground (m), > 0. @param hUtM  terminal above the ground; 1.5 to 22.5 m stated,
/// above
///              23 m counted as 23 m. Source: 3GPP TR 38.901, Table 7.4.1-1, note 1.
EnvironmentHeights environmentHeights(double d2dM, double hUtM);

/// umaLos() with a breakpoint above an environment of a given height (m, >= 0); equal to it for 1 m. Without
/// a breakpoint when either antenna is not above that height. Source: as above.
Db umaLosOver(double environmentM, double d2dM, double hBsM, double hUtM, Hertz f);
/// The mean loss over the heights the source would draw: what a plan can show instead of a draw [own use of
/// the published distribution]. Equal to umaLos() up to 13 m.
Db umaLosMean(double d2dM, double hBsM, double hUtM, Hertz f);

} // namespace fw
