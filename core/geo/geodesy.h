// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/units.h"
#include "geo/point.h"

namespace fw {

struct GeodesicLine {
    double distanceM = 0;
    TrueAzimuth azimuth; ///< at the first point
};
/// Shortest line on the WGS 84 ellipsoid (Karney 2013, through GeographicLib). Error some nanometres.
GeodesicLine geodesic(GeoPoint from, GeoPoint to);
/// The place at a distance (m) along an azimuth.
GeoPoint geodesicEnd(GeoPoint from, TrueAzimuth azimuth, double distanceM);

} // namespace fw
