// SPDX-License-Identifier: GPL-3.0-or-later
// Macro cells above the roofs of a town: 3GPP urban macro (UMa).
#pragma once

#include "base/units.h"
#include "radio/range.h"

#include <algorithm>
#include <cmath>

namespace fw {

/// Distance in space between station and terminal over d2dM on the ground, which counts as 1 m at least.
inline double distance3dM(double d2dM, double hBsM, double hUtM) {
    const double d = std::max(d2dM, 1.0), h = hBsM - hUtM;
    return std::sqrt(d * d + h * h);
}

/// Urban macro path losses, medians. Heights above the ground at that place (m), distance along the ground
/// (m). Stated range: 0.5 to 100 GHz, d2d 10 m to 5 km, base station 25 m, terminal 1.5 to 22.5 m; spread 4
/// dB with sight, 6 dB without. Outside it the formula is carried on; d2d below 1 m is taken as 1 m. Street
/// clutter is inside. The environment height of the breakpoint is 1 m: exact for terminals up to 13 m; above,
/// the source draws it at random, which a plan cannot use. Source: 3GPP TR 38.901, Table 7.4.1-1 and note 1.
Db umaLos(double d2dM, double hBsM, double hUtM, Hertz f);
/// Never below umaLos().
Db umaNlos(double d2dM, double hBsM, double hUtM, Hertz f);
/// The line that umaNlos() holds above umaLos(), PL' of the table: 13.54 + 39.08 log10 d3d + 20 log10 f - 0.6
/// (hUt - 1.5).
Db umaNlosLine(double d2dM, double hBsM, double hUtM, Hertz f);
/// The line that the same table calls optional, 32.4 + 20 log10 f + 30 log10 d3d, spread 7.8 dB: it rises
/// less with distance and not with the terminal's height. Always above umaLos() before the breakpoint.
Db umaNlosOptional(double d2dM, double hBsM, double hUtM, Hertz f);

/// How a path lies against the range stated above.
struct UrbanRange {
    Range distance = Range::inside, frequency = Range::inside;
    Range station = Range::inside, terminal = Range::inside; ///< heights
    [[nodiscard]] bool inside() const {
        return distance == Range::inside && frequency == Range::inside && station == Range::inside &&
               terminal == Range::inside;
    }
};
UrbanRange umaRange(double d2dM, double hBsM, double hUtM, Hertz f);

/// Breakpoint distance of UMa and UMi, 4 (hBs - 1)(hUt - 1) f / c with c = 3.0e8 as the source has it (m); 0
/// when an antenna is at 1 m or lower. Source: 3GPP TR 38.901, Table 7.4.1-1, note 1.
double breakpointM(double hBsM, double hUtM, Hertz f);

/// Chance of sight in a town, when no surface is at hand. d2d along the ground outdoors (m), terminal height
/// (m). Not to be used together with sight lines from a surface. Source: 3GPP TR 38.901, Table 7.4.2-1.
double umaSightChance(double d2dM, double hUtM);
/// C'(hUt) of it: how much more a tall terminal sees; 0 up to 13 m, as at 23 m above. Source: as above.
double umaTallFactor(double hUtM);

} // namespace fw
