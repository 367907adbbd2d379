// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/units.h"

#include <algorithm>

namespace fw {

/// Path loss where geometry, not chance, says whether the sight line is clear: the model's line-of-sight loss
/// on a clear path; on an obstructed one that loss plus the diffraction over the obstruction, but no more
/// than the model's loss without sight (energy round corners is in that statistic) and never less than the
/// loss with sight. Continuous at a shadow edge as far as `edge` is: with edge = 0 both branches agree. The
/// bare switch between the two losses would step 20 to 28 dB there.
/// @param los,nlos  the two median losses of one model at this place (dB).
/// @param edge      diffraction loss J(nu) over the obstruction (dB, >= 0); unused on a clear path.
/// @param clear     nothing reaches the sight line's clearance zone.
/// Source: own composition of Rec. ITU-R P.526-16, 4.1 with the model's two losses.
constexpr Db composeLoss(Db los, Db nlos, Db edge, bool clear) {
    if (clear) return los;
    return {std::max(los.v, std::min(los.v + edge.v, nlos.v))};
}

} // namespace fw
