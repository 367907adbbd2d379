// SPDX-License-Identifier: GPL-3.0-or-later
// A radio hop in clear air: room for the beam, and fading by several paths on long hops.
#pragma once

#include "base/units.h"
#include "radio/range.h"

namespace fw {

/// Room that must be free below a hop's line (m), d1 and d2 metres from its ends, both > 0: 0.6 of the first
/// Fresnel radius with the printed constant, 0.6 x 17.3 sqrt(d1 d2 / (f (d1 + d2))) in km and GHz, which is
/// 0.1 % less than the exact one. Does not depend on which end is which.
/// Source: Rec. ITU-R P.530, 2.2.1 and 2.2.2.
double hopClearanceM(double d1M, double d2M, Hertz f);

/// Diffraction over average terrain by the height of the path over the obstacle in first Fresnel radii,
/// negative when the obstacle cuts the line: 10 - 20 h / F1. A rule for losses above about 15 dB [bound from
/// memory]: at 0.6 it gives -2 dB where nothing is lost. Source: Rec. ITU-R P.530, 2.2.1, eq. (3).
Db hopObstructionLoss(double heightInF1);

struct MultipathHop {
    double geoclimatic = 0;     ///< K
    double km = 0;              ///< length, > 0
    double inclinationMrad = 0; ///< size of the path's slope
    double lowerAmslM = 0;      ///< the lower antenna above sea level
};
/// Geoclimatic factor K. @param gradient  refractivity gradient of the lowest 65 m not exceeded 1 % of a year
/// (N-units/km). @param roughnessM  standard deviation of the terrain (m), >= 0.
/// Source: Rec. ITU-R P.530-17, 2.3.1, eq. (4).
double geoclimaticFactor(double gradient, double roughnessM);
/// Share of the worst month (%) in which narrow-band fading is deeper than a depth (dB). Valid for deep
/// fades and, see multipathRange(), for hops beyond 5 km: on the short hops of small cells there is none.
/// Source: Rec. ITU-R P.530-17, 2.3.1, eq. (7).
double multipathFadePercent(const MultipathHop& hop, Hertz f, Db depth);
Range multipathRange(double km);

/// Fades of 10 s or longer a year, from the share of a year (%) that rain exceeds their depth.
/// Source: Rec. ITU-R P.530, eq. (78).
double longFadesPerYear(double percent);

} // namespace fw
