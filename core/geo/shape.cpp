// SPDX-License-Identifier: GPL-3.0-or-later
#include "geo/shape.h"

#include <algorithm>
#include <limits>

namespace fw {

namespace {

/// Calls f(first, second, index) for every edge of a polygon, closing edges included; edges are numbered
/// through all rings, the outer one first.
template <class F>
void forEdges(const Polygon& p, F&& f) {
    std::size_t n = 0;
    auto ringEdges = [&](const Ring& ring) {
        for (std::size_t i = 0; i < ring.size(); ++i) f(ring[i], ring[(i + 1) % ring.size()], n++);
    };
    ringEdges(p.outer);
    for (const Ring& hole : p.holes) ringEdges(hole);
}

bool within(double v, double a, double b) { return a <= b ? v >= a && v <= b : v >= b && v <= a; }

bool onSegment(PlanePoint p, PlanePoint a, PlanePoint b) {
    return cross(b - a, p - a) == 0 && within(p.x, a.x, b.x) && within(p.y, a.y, b.y);
}

struct OnSegment {
    PlanePoint nearest;
    double along = 0, distance2 = 0;
};
OnSegment nearestOnSegment(PlanePoint p, PlanePoint a, PlanePoint b) {
    const PlanePoint d = b - a;
    const double len2 = dot(d, d);
    const double t = len2 > 0 ? std::clamp(dot(p - a, d) / len2, 0.0, 1.0) : 0.0;
    // The far end itself, not a + d * 1, which may miss it by a rounding.
    const PlanePoint q = t == 1.0 ? b : a + d * t;
    return {q, t, dot(p - q, p - q)};
}

int sign(double v) { return (v > 0) - (v < 0); }

Ring withoutRepeats(const Ring& ring) {
    Ring out;
    for (const PlanePoint& p : ring)
        if (out.empty() || p != out.back()) out.push_back(p);
    while (out.size() > 1 && out.front() == out.back()) out.pop_back();
    return out;
}

/// Cleans a ring and turns it the asked way round; false when nothing with an area is left.
bool tidyRing(Ring& ring, bool anticlockwise) {
    ring = withoutRepeats(ring);
    if (ring.size() < 3) return false;
    Box box;
    for (const PlanePoint& p : ring) {
        if (!std::isfinite(p.x) || !std::isfinite(p.y)) return false;
        box.add(p);
    }
    const double area = signedArea(ring);
    // Corners on one line give the rounding of their coordinates instead of a clean zero, so what is thinner
    // than a micrometre has no area.
    if (std::fabs(area) <= 1e-6 * (box.width() + box.height())) return false;
    if ((area > 0) != anticlockwise) std::reverse(ring.begin(), ring.end());
    return true;
}

/// Fractions of a-b where it meets the edge c-d: none, one, or two where they lie on one line.
void addMeetings(PlanePoint a, PlanePoint b, PlanePoint c, PlanePoint d, std::vector<double>& out) {
    const PlanePoint u = b - a, v = d - c;
    const double den = cross(u, v);
    if (den != 0) {
        const double t = cross(c - a, v) / den, s = cross(c - a, u) / den;
        if (t >= 0 && t <= 1 && s >= 0 && s <= 1) out.push_back(t);
        return;
    }
    const double len2 = dot(u, u);
    if (len2 == 0 || cross(u, c - a) != 0) return;
    for (const double t : {dot(c - a, u) / len2, dot(d - a, u) / len2})
        if (t > 0 && t < 1) out.push_back(t);
}

} // namespace

void Box::add(PlanePoint p) {
    if (empty()) {
        *this = {p.x, p.y, p.x, p.y};
        return;
    }
    *this = {std::min(x0, p.x), std::min(y0, p.y), std::max(x1, p.x), std::max(y1, p.y)};
}

void Box::add(const Box& o) {
    if (o.empty()) return;
    add(PlanePoint{o.x0, o.y0});
    add(PlanePoint{o.x1, o.y1});
}

Box boundsOf(const Line& line) {
    Box box;
    for (const PlanePoint& p : line) box.add(p);
    return box;
}

Box boundsOf(const Polygon& p) { return boundsOf(p.outer); }

double signedArea(const Ring& ring) {
    // Measured from the first corner: national grid coordinates squared would lose the digits of a small
    // roof.
    double twice = 0;
    for (std::size_t i = 1; i + 1 < ring.size(); ++i)
        twice += cross(ring[i] - ring[0], ring[i + 1] - ring[0]);
    return twice / 2;
}

double areaOf(const Polygon& p) {
    double area = std::fabs(signedArea(p.outer));
    for (const Ring& hole : p.holes) area -= std::fabs(signedArea(hole));
    return std::max(area, 0.0);
}

PlanePoint centroidOf(const Polygon& p) {
    if (p.outer.empty()) return {};
    const PlanePoint o = p.outer[0];
    double sum = 0;
    PlanePoint moment;
    auto addRing = [&](const Ring& ring, double way) {
        const double turn = signedArea(ring) < 0 ? -way : way;
        for (std::size_t i = 1; i + 1 < ring.size(); ++i) {
            const double w = turn * cross(ring[i] - ring[0], ring[i + 1] - ring[0]);
            sum += w;
            moment = moment + ((ring[0] - o) + (ring[i] - o) + (ring[i + 1] - o)) * (w / 3);
        }
    };
    addRing(p.outer, 1);
    for (const Ring& hole : p.holes) addRing(hole, -1);
    if (sum != 0) return o + moment * (1 / sum);
    PlanePoint mean;
    for (const PlanePoint& q : p.outer) mean = mean + (q - o);
    return o + mean * (1.0 / static_cast<double>(p.outer.size()));
}

bool contains(const Polygon& p, PlanePoint at) {
    bool odd = false, edge = false;
    forEdges(p, [&](PlanePoint a, PlanePoint b, std::size_t) {
        edge = edge || onSegment(at, a, b);
        if ((a.y > at.y) == (b.y > at.y)) return;
        // The edge crosses the level of the point; to its right when the point lies left of the upward edge.
        const double side = cross(b - a, at - a);
        if ((b.y > a.y) == (side > 0)) odd = !odd;
    });
    return edge || odd;
}

std::optional<Polygon> tidied(Polygon p) {
    if (!tidyRing(p.outer, true)) return std::nullopt;
    std::erase_if(p.holes, [](Ring& hole) { return !tidyRing(hole, false); });
    if (areaOf(p) <= 0) return std::nullopt;
    return p;
}

OnLine nearestOn(const Line& line, PlanePoint at) {
    OnLine best{planeDistance(line[0], at), line[0], 0, 0};
    double best2 = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const OnSegment s = nearestOnSegment(at, line[i], line[i + 1]);
        if (s.distance2 >= best2) continue;
        best2 = s.distance2;
        best = {std::sqrt(s.distance2), s.nearest, i, s.along};
    }
    return best;
}

OnLine nearestOnBoundary(const Polygon& p, PlanePoint at) {
    OnLine best;
    double best2 = std::numeric_limits<double>::infinity();
    forEdges(p, [&](PlanePoint a, PlanePoint b, std::size_t n) {
        const OnSegment s = nearestOnSegment(at, a, b);
        if (s.distance2 >= best2) return;
        best2 = s.distance2;
        best = {std::sqrt(s.distance2), s.nearest, n, s.along};
    });
    return best;
}

std::vector<Span> crossings(const Polygon& p, PlanePoint a, PlanePoint b) {
    std::vector<double> cuts{0.0, 1.0};
    forEdges(p, [&](PlanePoint c, PlanePoint d, std::size_t) { addMeetings(a, b, c, d, cuts); });
    std::sort(cuts.begin(), cuts.end());
    // A corner belongs to two edges that find it a rounding apart; what lies between is no piece of the
    // segment.
    constexpr double kSame = 1e-12;
    std::erase_if(cuts, [last = -1.0](double t) mutable {
        const bool same = (t - last < kSame || 1.0 - t < kSame) && t != 1.0;
        if (!same) last = t;
        return same;
    });
    std::vector<Span> out;
    for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
        if (cuts[i] == cuts[i + 1]) continue;
        if (!contains(p, a + (b - a) * ((cuts[i] + cuts[i + 1]) / 2))) continue;
        if (!out.empty() && out.back().to == cuts[i])
            out.back().to = cuts[i + 1];
        else
            out.push_back({cuts[i], cuts[i + 1]});
    }
    return out;
}

bool segmentsMeet(PlanePoint a, PlanePoint b, PlanePoint c, PlanePoint d) {
    const int ca = sign(cross(d - c, a - c)), cb = sign(cross(d - c, b - c));
    const int ac = sign(cross(b - a, c - a)), ad = sign(cross(b - a, d - a));
    if (ca * cb < 0 && ac * ad < 0) return true;
    return onSegment(a, c, d) || onSegment(b, c, d) || onSegment(c, a, b) || onSegment(d, a, b);
}

double lengthOf(const Line& line) {
    double m = 0;
    for (std::size_t i = 0; i + 1 < line.size(); ++i) m += planeDistance(line[i], line[i + 1]);
    return m;
}

} // namespace fw
