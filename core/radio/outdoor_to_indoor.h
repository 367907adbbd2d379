// SPDX-License-Identifier: GPL-3.0-or-later
// Loss through a wall into a building by material, as 3GPP simulates it. building_entry.h has the statistic
// over a stock of buildings that the study uses; never add the two.
#pragma once

#include "base/units.h"
#include "radio/range.h"

namespace fw {

enum class WallMaterial { glass, coatedGlass, concrete, wood };

/// Penetration loss of a material (dB): coated glass is multi-pane with a metal film.
/// @param f  0.5 to 100 GHz stated, see penetrationRange(). Source: 3GPP TR 38.901, Table 7.4.3-1.
Db materialLoss(WallMaterial material, Hertz f);

/// low: 30 % plain glass in concrete; high: 70 % coated glass in concrete.
enum class WallKind { low, high };

/// Loss through the outer wall at any incidence, PL_tw. Rises with frequency.
/// Source: 3GPP TR 38.901, Table 7.4.3-2.
Db wallLoss(WallKind kind, Hertz f);
/// Spread of the loss into the building (dB): 4.4 or 6.5. Source: as wallLoss().
double wallSpreadDb(WallKind kind);

/// Loss inside over a depth (m, >= 0), 0.5 dB a metre. Source: 3GPP TR 38.901, Table 7.4.3-2, PL_in.
Db indoorDepthLoss(double depthM);

/// Median of the depths that the source draws for UMa and UMi, the lesser of two between 0 and 25 m: 25 (1 -
/// 1 / sqrt 2) m.
inline constexpr double kMedianDepthM = 7.3223304703363;
/// Wall and median depth together.
Db indoorLossMedian(WallKind kind, Hertz f);
/// The loss that half of all places do not exceed in a stock with a share (0 to 1) of buildings of high loss:
/// normal about indoorLossMedian() with wallSpreadDb(). Error below 1e-4 dB.
Db indoorLossMedianMix(Hertz f, double highShare);

Range penetrationRange(Hertz f);

} // namespace fw
