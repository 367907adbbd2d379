// SPDX-License-Identifier: GPL-3.0-or-later
// What surrounds a terminal costs, when its buildings are not known. Never with P.1411, the losses of 3GPP or
// Hata's, whose statistics hold it already, nor with sight lines over a surface.
#pragma once

#include "base/units.h"
#include "radio/range.h"

namespace fw {

/// What stands about the terminal.
enum class ClutterKind { water, rural, suburban, urban, trees, dense };

/// Height of that clutter when nothing better is known: 10 m; urban and trees 15 m, dense urban 20 m.
/// Source: Rec. ITU-R P.2108-1, 3.1.
double usualClutterHeightM(ClutterKind kind);

/// Loss from the clutter's top down to a terminal within it, for a path that is modelled to the top.
/// @param f              0.03 to 3 GHz stated, see terminalClutterRange().
/// @param terminalM      terminal above the ground (m), > 0; 0 dB at the clutter's height and above.
/// @param clutterM       height of the clutter (m), > 0. @param streetWidthM  (m), > 0; 27 m is usual.
/// It steps by 0.003 dB at the clutter's height where buildings or trees stand, since J(0) is 6.033 dB and
/// the source takes 6.03 off; elsewhere continuous, rising as the terminal sinks.
/// Source: Rec. ITU-R P.2108-1, 3.1, eq. (2a) to (2g).
Db terminalClutterLoss(ClutterKind kind, Hertz f, double terminalM, double clutterM,
                       double streetWidthM = 27);
Range terminalClutterRange(Hertz f);
/// The edge that buildings or trees put before the terminal. Only for a terminal below the clutter's height.
/// Source: as above, eq. (2d) to (2f).
struct ClutterEdge {
    double downDeg = 0; ///< theta_clut, from the clutter's top down to the terminal across the street
    double nu = 0;
};
ClutterEdge terminalClutterEdge(Hertz f, double terminalM, double clutterM, double streetWidthM);

/// Loss by clutter about one end of a terrestrial path, not exceeded at a share of the places.
/// @param f  0.5 to 67 GHz stated. @param distanceM  length of the path (m), > 0; from 250 m stated. Never
///           more than at 2 km, which for large shares binds before: the spread shrinks along the way.
/// @param share  of the places, 0 < share < 1; drawn to 1e-9 from the ends.
/// Never falls with distance, continuous. Source: Rec. ITU-R P.2108-1, 3.2, eq. (3a) to (6).
Db terrestrialClutterLoss(Hertz f, double distanceM, double share);

/// The same with what it is made of, at the distance that binds.
struct TerrestrialClutter {
    double distanceM = 0; ///< that of the path, or 2 km where its loss binds
    double lowDb = 0;     ///< Ll
    double farDb = 0;     ///< Ls
    double medianDb = 0;  ///< -5 log10(10^(-0.2 Ll) + 10^(-0.2 Ls))
    double spreadDb = 0;  ///< sigma_cb
    double quantile = 0;  ///< F^-1(share)
    Db total;             ///< median + spread times quantile
};
TerrestrialClutter terrestrialClutterSteps(Hertz f, double distanceM, double share);

struct ClutterRange {
    Range distance = Range::inside, frequency = Range::inside;
    [[nodiscard]] bool inside() const { return distance == Range::inside && frequency == Range::inside; }
};
ClutterRange terrestrialClutterRange(Hertz f, double distanceM);

/// Loss by clutter on a slant path up to a satellite or an aircraft, not exceeded at a share of the places.
/// @param f  10 to 100 GHz stated. @param elevationDeg  of the path, 0 to 90 deg.
/// May be slightly negative for small shares, as published. Source: Rec. ITU-R P.2108-1, 3.3, eq. (7).
Db slantClutterLoss(Hertz f, double elevationDeg, double share);
/// The same with what it is made of.
struct SlantClutter {
    double k1 = 0;       ///< 93 f^0.175
    double angleDeg = 0; ///< A1 (1 - e / 90) + pi e / 180, as degrees
    double base = 0;     ///< -K1 ln(1 - p) cot(angle)
    double exponent = 0; ///< (90 - e) / 180
    double quantile = 0; ///< F^-1(p)
    Db total;
};
SlantClutter slantClutterSteps(Hertz f, double elevationDeg, double share);
Range slantClutterRange(Hertz f);

} // namespace fw
