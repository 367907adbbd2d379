// SPDX-License-Identifier: GPL-3.0-or-later
// Places of Port Merrow in degrees, and where they lie by another library.
#pragma once

#include "geo/shape.h"

#include <GeographicLib/UTMUPS.hpp>

#include <cmath>
#include <fmt/format.h>
#include <string>

namespace fw::testing {

// The same place by another library: GeographicLib, UTMUPS::Forward (Krueger series, Karney 2011).
inline PlanePoint utm(double lat, double lon) {
    int zone = 0;
    bool north = false;
    PlanePoint p;
    GeographicLib::UTMUPS::Forward(lat, lon, zone, north, p.x, p.y, 27);
    return p;
}

inline bool near(PlanePoint a, PlanePoint b, double m) { return std::hypot(a.x - b.x, a.y - b.y) <= m; }

inline std::string footprint(double lat, double lon, double sideDeg = 0.0002) {
    return fmt::format("POLYGON (({0} {1},{2} {1},{2} {3},{0} {3},{0} {1}))", lon, lat, lon + sideDeg,
                       lat + sideDeg);
}

} // namespace fw::testing
