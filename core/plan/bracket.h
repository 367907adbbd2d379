// SPDX-License-Identifier: GPL-3.0-or-later
// What the bracket of a mount lets a radio do.
#pragma once

#include "plan/items.h"

#include <algorithm>
#include <cmath>

namespace fw {

/// A panel on a wall or parapet looks away from it, within 90 deg of its normal; on a pole all round.
inline bool bracketTurns(const Mount& mount, TrueAzimuth to) {
    return !mount.faces || std::fabs(wrap180(to.deg - mount.faces->deg)) <= 90;
}

/// Of the tilts that the bracket allows the one nearest to `tiltDeg`; that itself where it names none.
inline double nearestTilt(const Mount& mount, double tiltDeg) {
    if (mount.tiltsDeg.empty()) return tiltDeg;
    return *std::min_element(mount.tiltsDeg.begin(), mount.tiltsDeg.end(), [&](double a, double b) {
        return std::fabs(a - tiltDeg) < std::fabs(b - tiltDeg);
    });
}

} // namespace fw
