// SPDX-License-Identifier: GPL-3.0-or-later
// How the losses of single places lie about the median of the site-general model.
#pragma once

#include "base/units.h"
#include "radio/street_microcell.h"

namespace fw {

/// Basic transmission loss of a place, for a share of places that lose no more. With sight it is the median
/// plus a normal deviation. Without sight the *excess* over free space deviates and is added as power, so
/// that no place loses less than free space:
///     L = 10 log10(10^(A / 10) + 1) + L_fs,  A normal about (median - L_fs) with the row's spread.
/// Its own median is therefore a little above siteGeneralLoss(): 0.01 dB at 26 dB of excess, 3 dB at none.
/// @param sight  the row is one with line of sight. @param share  0 < share < 1, drawn to 1e-9 from the ends.
/// Range as siteGeneralRange(). Source: Rec. ITU-R P.1411-11, 4.1.1 and 4.2.1, the form for variability.
Db siteGeneralLossAt(const SiteGeneral& row, bool sight, double distance3dM, Hertz f, double share);

} // namespace fw
