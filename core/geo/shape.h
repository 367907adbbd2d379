// SPDX-License-Identifier: GPL-3.0-or-later
// Points, lines and areas in plane metres.
#pragma once

#include "geo/point.h"

#include <optional>
#include <vector>

namespace fw {

struct Box {
    double x0 = 0, y0 = 0, x1 = -1, y1 = -1; ///< empty when x1 < x0
    auto operator<=>(const Box&) const = default;
    [[nodiscard]] bool empty() const { return x1 < x0 || y1 < y0; }
    [[nodiscard]] double width() const { return x1 - x0; }
    [[nodiscard]] double height() const { return y1 - y0; }
    [[nodiscard]] PlanePoint centre() const { return {(x0 + x1) / 2, (y0 + y1) / 2}; }
    [[nodiscard]] bool contains(PlanePoint p) const {
        return p.x >= x0 && p.x <= x1 && p.y >= y0 && p.y <= y1;
    }
    [[nodiscard]] bool meets(const Box& o) const {
        return !empty() && !o.empty() && x0 <= o.x1 && o.x0 <= x1 && y0 <= o.y1 && o.y0 <= y1;
    }
    [[nodiscard]] Box grown(double m) const { return {x0 - m, y0 - m, x1 + m, y1 + m}; }
    void add(PlanePoint p);
    void add(const Box& o);
};

using Line = std::vector<PlanePoint>;
/// Corners without the first one repeated; at least three. Outer rings run anticlockwise, holes clockwise.
using Ring = std::vector<PlanePoint>;

struct Polygon {
    Ring outer;
    std::vector<Ring> holes;
    auto operator<=>(const Polygon&) const = default;
};

Box boundsOf(const Line& line);
Box boundsOf(const Polygon& p);
/// Signed: positive when the ring runs anticlockwise (m2).
double signedArea(const Ring& ring);
/// Outer ring less holes (m2), never negative.
double areaOf(const Polygon& p);
/// Centre of the area; of the corners where the area is zero.
PlanePoint centroidOf(const Polygon& p);
/// Even-odd over all rings; a point on an edge counts as inside.
bool contains(const Polygon& p, PlanePoint at);
/// Repairs orientation, drops repeated corners and holes without an area. Empty optional when fewer than
/// three distinct corners remain or the area is zero.
std::optional<Polygon> tidied(Polygon p);

struct OnLine {
    double distanceM = 0; ///< from the point to the line
    PlanePoint nearest;
    std::size_t segment = 0; ///< index of the segment's first corner
    double along = 0;        ///< 0..1 within the segment
};
/// Nearest place on an open line with at least one point.
OnLine nearestOn(const Line& line, PlanePoint at);
/// Nearest place on the boundary of an area with at least one corner; segments are numbered through all
/// rings, the outer one first, each with its closing edge.
OnLine nearestOnBoundary(const Polygon& p, PlanePoint at);
/// Where segment a-b enters and leaves the area: pairs of fractions of a-b, ascending, merged. Empty when it
/// stays out or only touches a corner.
struct Span {
    double from = 0, to = 0;
};
std::vector<Span> crossings(const Polygon& p, PlanePoint a, PlanePoint b);
/// Whether two segments share a point; touching counts.
bool segmentsMeet(PlanePoint a, PlanePoint b, PlanePoint c, PlanePoint d);
double lengthOf(const Line& line);

} // namespace fw
