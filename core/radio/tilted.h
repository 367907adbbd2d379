// SPDX-License-Identifier: GPL-3.0-or-later
// A direction as an antenna sees it that a bracket tilts down.
#pragma once

#include "base/log_exp.h"

#include <cmath>

namespace fw {

struct SeenDirection {
    double azimuthDeg = 0;   ///< off boresight, clockwise
    double elevationDeg = 0; ///< above the antenna's own horizon
};

/// Turns a direction about the horizontal axis across boresight. @param downDeg  mechanical tilt, down; at 0
/// the direction comes back untouched. Source: Rec. ITU-R F.1336-5, recommends 3.5; plain geometry.
inline SeenDirection seenFromTilted(double azimuthDeg, double elevationDeg, double downDeg) {
    if (downDeg == 0) return {azimuthDeg, elevationDeg};
    const SinCos a = sinCosDegFixed(azimuthDeg), e = sinCosDegFixed(elevationDeg),
                 t = sinCosDegFixed(downDeg);
    const double ahead = e.cos * a.cos, aside = e.cos * a.sin;
    const double x = t.cos * ahead - t.sin * e.sin, z = t.sin * ahead + t.cos * e.sin;
    return {atan2DegFixed(aside, x), atan2DegFixed(z, std::sqrt(x * x + aside * aside))};
}

} // namespace fw
