// SPDX-License-Identifier: GPL-3.0-or-later
// Paths between two terminals near street level, from handset to handset or from a low pole to a handset.
#pragma once

#include "base/units.h"
#include "radio/range.h"

namespace fw {

/// What the terminals stand among; it adds 0, 6.8 or 2.3 dB to the loss without sight.
enum class LowTerminalArea { suburban, urban, denseUrban };

/// Basic transmission loss not exceeded at a share of the places, both ends 1.9 to 3 m above the ground.
/// With sight up to lowTerminalSightM(), without beyond it and `transitionM`, a straight line between. It
/// holds the places' spread: add no shadowing and no clutter loss to it.
/// @param distanceM    (m), > 0. @param f  0.3 to 3 GHz stated, see lowTerminalRange().
/// @param probability  share of places, 0 < p < 1; drawn to 1e-9 from the ends.
/// @param transitionM  width of the transition (m), > 0; 20 m is the source's own.
/// Rises with distance and is continuous in it; in the probability it steps by 0.01 m of sight at 45 %.
/// Source: Rec. ITU-R P.1411-11, 4.3.1, eq. (58) to (64).
Db lowTerminalLoss(LowTerminalArea area, double distanceM, Hertz f, double probability,
                   double transitionM = 20);

/// The two losses it is made of, not exceeded at a share of the places, each at any distance.
Db lowTerminalLos(double distanceM, Hertz f, double probability);
Db lowTerminalNlos(LowTerminalArea area, double distanceM, Hertz f, double probability);

/// L_area of the loss without sight (dB): 0, 6.8 or 2.3.
double lowTerminalAreaDb(LowTerminalArea area);

/// How far sight reaches (m) for a share of the places: the greater the share, the shorter.
double lowTerminalSightM(double probability);

/// The frequencies the source states: 0.3 to 3 GHz.
Range lowTerminalRange(Hertz f);

} // namespace fw
