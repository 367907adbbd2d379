// SPDX-License-Identifier: GPL-3.0-or-later
// Small cells in a street canyon: 3GPP urban micro (UMi).
#pragma once

#include "base/units.h"
#include "radio/urban_macro.h"

namespace fw {

/// Street-canyon path losses, medians. Heights above the ground (m), distance along the ground (m).
/// Stated range: 0.5 to 100 GHz, d2d 10 m to 5 km, base station fixed at 10 m, terminal 1.5 to 22.5 m; spread
/// 4 dB with sight, 7.82 dB without. Other heights are extrapolation: at 8 m the breakpoint is nearer and the
/// loss beyond it higher. d2d below 1 m is taken as 1 m. Street clutter is inside. Source: 3GPP TR 38.901,
/// Table 7.4.1-1.
Db umiLos(double d2dM, double hBsM, double hUtM, Hertz f);
/// Never below umiLos().
Db umiNlos(double d2dM, double hBsM, double hUtM, Hertz f);
/// The line that umiNlos() holds above umiLos(): 22.4 + 35.3 log10 d3d + 21.3 log10 f - 0.3 (hUt - 1.5).
Db umiNlosLine(double d2dM, double hBsM, double hUtM, Hertz f);

/// How a path lies against the range stated above.
UrbanRange umiRange(double d2dM, double hBsM, double hUtM, Hertz f);

/// Chance of sight along streets, when no surface is at hand. Source: 3GPP TR 38.901, Table 7.4.2-1.
double umiSightChance(double d2dM);

} // namespace fw
