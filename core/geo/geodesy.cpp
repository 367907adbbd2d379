// SPDX-License-Identifier: GPL-3.0-or-later
#include "geo/geodesy.h"

#include <GeographicLib/Geodesic.hpp>

namespace fw {

GeodesicLine geodesic(GeoPoint from, GeoPoint to) {
    double distance = 0, azimuth = 0, azimuthAtEnd = 0;
    GeographicLib::Geodesic::WGS84().Inverse(from.latDeg, from.lonDeg, to.latDeg, to.lonDeg, distance,
                                             azimuth, azimuthAtEnd);
    return {distance, TrueAzimuth::of(azimuth)};
}

GeoPoint geodesicEnd(GeoPoint from, TrueAzimuth azimuth, double distanceM) {
    GeoPoint end;
    GeographicLib::Geodesic::WGS84().Direct(from.latDeg, from.lonDeg, azimuth.deg, distanceM, end.latDeg,
                                            end.lonDeg);
    return end;
}

} // namespace fw
