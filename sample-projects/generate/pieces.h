// SPDX-License-Identifier: GPL-3.0-or-later
// Small geometry for making towns: convex areas that are cut, set back and filled with houses.
#pragma once

#include "base/random.h"
#include "geo/shape.h"

#include <optional>
#include <utility>
#include <vector>

namespace fw::town {

constexpr PlanePoint leftOf(PlanePoint d) { return {-d.y, d.x}; }
PlanePoint unit(PlanePoint d);                         ///< (1, 0) for a vector without length
PlanePoint directionDeg(double anticlockwiseFromEast); ///< unit vector
PlanePoint between(PlanePoint a, PlanePoint b, double t);
double boundaryDistance(const Ring& ring, PlanePoint p); ///< to the nearest edge (m)
bool insideRing(const Ring& ring, PlanePoint p);

/// Part of a convex ring on the left of a line, at least `gapM` from it. May be empty.
Ring leftPart(const Ring& convex, PlanePoint on, PlanePoint direction, double gapM);
/// The stretch of a line inside a convex ring.
std::optional<std::pair<PlanePoint, PlanePoint>> chord(const Ring& convex, PlanePoint on,
                                                       PlanePoint direction);
/// A convex ring set back by `m` on all sides, corner i still belonging to corner i; empty when it has no
/// room for that.
std::optional<Ring> setBack(const Ring& convex, double m);
/// A convex ring without corners that hardly turn (within `m` of the line past them).
Ring simplified(const Ring& convex, double m);
/// Direction of the longest edge.
PlanePoint mainDirection(const Ring& ring);
/// Extent of a ring along a direction.
struct Extent {
    double from = 0, to = 0;
    [[nodiscard]] double length() const { return to - from; }
};
Extent extentAlong(const Ring& ring, PlanePoint direction);
/// A rectangle by centre, direction of its first side and both half sides, anticlockwise.
Ring rectangle(PlanePoint centre, PlanePoint direction, double halfLong, double halfDeep);
/// Regular ring, an oval when the radii differ.
Ring oval(PlanePoint centre, PlanePoint direction, double radiusLong, double radiusDeep, int corners);

/// Whether the insides of two areas meet by more than a touch (1 cm).
bool overlap(const Polygon& a, const Polygon& b);

/// Smooth noise in [-1, 1] over the plane: whole-number lattice, quintic between. Same on every machine.
double noise(std::uint32_t seed, double x, double y);

} // namespace fw::town
