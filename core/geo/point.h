// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cmath>
#include <compare>

namespace fw {

/// A place in the plan's projected system (m, east and north). Everything inside the program is in these.
struct PlanePoint {
    double x = 0, y = 0;
    auto operator<=>(const PlanePoint&) const = default;
};
constexpr PlanePoint operator+(PlanePoint a, PlanePoint b) { return {a.x + b.x, a.y + b.y}; }
constexpr PlanePoint operator-(PlanePoint a, PlanePoint b) { return {a.x - b.x, a.y - b.y}; }
constexpr PlanePoint operator*(PlanePoint a, double k) { return {a.x * k, a.y * k}; }
constexpr double dot(PlanePoint a, PlanePoint b) { return a.x * b.x + a.y * b.y; }
constexpr double cross(PlanePoint a, PlanePoint b) { return a.x * b.y - a.y * b.x; }
inline double length(PlanePoint a) { return std::sqrt(a.x * a.x + a.y * a.y); }
/// Distance in the plane (m): grid metres, not ground metres; Frame::groundDistance gives the latter.
inline double planeDistance(PlanePoint a, PlanePoint b) { return length(b - a); }

/// A place on the WGS 84 ellipsoid (degrees, north and east positive).
struct GeoPoint {
    double latDeg = 0, lonDeg = 0;
    auto operator<=>(const GeoPoint&) const = default;
};

/// A coordinate (m) on the grid of 2^-20 m, about a micrometre, on which a plan keeps its places.
inline double keptCoordinate(double m) {
    constexpr double kStepM = 1.0 / (1 << 20);
    return std::round(m / kStepM) * kStepM;
}
inline PlanePoint kept(PlanePoint p) { return {keptCoordinate(p.x), keptCoordinate(p.y)}; }

} // namespace fw
