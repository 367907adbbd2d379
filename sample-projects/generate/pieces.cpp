// SPDX-License-Identifier: GPL-3.0-or-later
#include "pieces.h"

#include "base/log_exp.h"

#include <algorithm>
#include <cmath>

namespace fw::town {

PlanePoint unit(PlanePoint d) {
    const double n = length(d);
    return n > 0 ? d * (1 / n) : PlanePoint{1, 0};
}

PlanePoint directionDeg(double anticlockwiseFromEast) {
    const SinCos sc = sinCosDegFixed(anticlockwiseFromEast);
    return {sc.cos, sc.sin};
}

PlanePoint between(PlanePoint a, PlanePoint b, double t) { return a + (b - a) * t; }

double boundaryDistance(const Ring& ring, PlanePoint p) {
    double best = 1e18;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const PlanePoint a = ring[i], d = ring[(i + 1) % ring.size()] - a;
        const double len2 = dot(d, d);
        const double t = len2 > 0 ? std::clamp(dot(p - a, d) / len2, 0.0, 1.0) : 0.0;
        best = std::min(best, planeDistance(p, a + d * t));
    }
    return best;
}

bool insideRing(const Ring& ring, PlanePoint p) {
    bool in = false;
    for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
        const PlanePoint a = ring[i], b = ring[j];
        if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x) in = !in;
    }
    return in;
}

Ring leftPart(const Ring& convex, PlanePoint on, PlanePoint direction, double gapM) {
    const PlanePoint n = leftOf(unit(direction));
    Ring out;
    for (std::size_t i = 0; i < convex.size(); ++i) {
        const PlanePoint a = convex[i], b = convex[(i + 1) % convex.size()];
        const double ha = dot(a - on, n) - gapM, hb = dot(b - on, n) - gapM;
        if (ha >= 0) out.push_back(a);
        if ((ha >= 0) != (hb >= 0)) out.push_back(between(a, b, ha / (ha - hb)));
    }
    // Corners closer than a centimetre would make edges without direction.
    Ring clean;
    for (const PlanePoint& p : out)
        if (clean.empty() || planeDistance(p, clean.back()) > 0.01) clean.push_back(p);
    while (clean.size() > 1 && planeDistance(clean.front(), clean.back()) <= 0.01) clean.pop_back();
    if (clean.size() < 3) clean.clear();
    return clean;
}

std::optional<std::pair<PlanePoint, PlanePoint>> chord(const Ring& convex, PlanePoint on,
                                                       PlanePoint direction) {
    const PlanePoint d = unit(direction), n = leftOf(d);
    double lo = 1e18, hi = -1e18;
    for (std::size_t i = 0; i < convex.size(); ++i) {
        const PlanePoint a = convex[i], b = convex[(i + 1) % convex.size()];
        const double ha = dot(a - on, n), hb = dot(b - on, n);
        if ((ha >= 0) == (hb >= 0)) continue;
        const double s = dot(between(a, b, ha / (ha - hb)) - on, d);
        lo = std::min(lo, s);
        hi = std::max(hi, s);
    }
    if (hi - lo < 0.5) return std::nullopt;
    return std::pair{on + d * lo, on + d * hi};
}

std::optional<Ring> setBack(const Ring& convex, double m) {
    const std::size_t n = convex.size();
    Ring in(n);
    for (std::size_t i = 0; i < n; ++i) {
        const PlanePoint before = unit(convex[i] - convex[(i + n - 1) % n]);
        const PlanePoint after = unit(convex[(i + 1) % n] - convex[i]);
        const double turn = cross(before, after);
        if (turn < 0.05) return std::nullopt; // nearly straight or hooked: no clean corner
        // Corner of the two edges moved inwards: along the difference of their directions.
        in[i] = convex[i] + (after - before) * (m / turn);
    }
    for (std::size_t i = 0; i < n; ++i)
        if (dot(in[(i + 1) % n] - in[i], convex[(i + 1) % n] - convex[i]) <= 0) return std::nullopt;
    return in;
}

Ring simplified(const Ring& convex, double m) {
    Ring out = convex;
    for (std::size_t i = 0; i < out.size() && out.size() > 3;) {
        const PlanePoint a = out[(i + out.size() - 1) % out.size()], b = out[(i + 1) % out.size()];
        if (std::fabs(cross(unit(b - a), out[i] - a)) < m) {
            out.erase(out.begin() + static_cast<std::ptrdiff_t>(i));
            i = 0;
        } else {
            ++i;
        }
    }
    return out;
}

PlanePoint mainDirection(const Ring& ring) {
    PlanePoint best{1, 0};
    double longest = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const PlanePoint d = ring[(i + 1) % ring.size()] - ring[i];
        if (length(d) > longest) {
            longest = length(d);
            best = d;
        }
    }
    return unit(best);
}

Extent extentAlong(const Ring& ring, PlanePoint direction) {
    Extent e{1e18, -1e18};
    for (const PlanePoint& p : ring) {
        const double s = dot(p, direction);
        e.from = std::min(e.from, s);
        e.to = std::max(e.to, s);
    }
    return e;
}

Ring rectangle(PlanePoint centre, PlanePoint direction, double halfLong, double halfDeep) {
    const PlanePoint u = unit(direction) * halfLong, v = leftOf(unit(direction)) * halfDeep;
    return {centre - u - v, centre + u - v, centre + u + v, centre - u + v};
}

Ring oval(PlanePoint centre, PlanePoint direction, double radiusLong, double radiusDeep, int corners) {
    const PlanePoint u = unit(direction), v = leftOf(u);
    Ring out;
    for (int i = 0; i < corners; ++i) {
        const SinCos sc = sinCosDegFixed(360.0 * i / corners);
        out.push_back(centre + u * (radiusLong * sc.cos) + v * (radiusDeep * sc.sin));
    }
    return out;
}

namespace {

constexpr double kTouchM = 0.01;

// Edges that cross properly, by more than a touch on both.
bool edgesCross(PlanePoint a, PlanePoint b, PlanePoint c, PlanePoint d) {
    const PlanePoint u = b - a, v = d - c;
    const double lu = length(u), lv = length(v);
    if (lu < kTouchM || lv < kTouchM) return false;
    const double hc = cross(u, c - a) / lu, hd = cross(u, d - a) / lu;
    const double ha = cross(v, a - c) / lv, hb = cross(v, b - c) / lv;
    const auto apart = [](double p, double q) {
        return (p > kTouchM && q < -kTouchM) || (p < -kTouchM && q > kTouchM);
    };
    return apart(hc, hd) && apart(ha, hb);
}

// Strictly inside: further than a touch from all edges, and not in a hole.
bool wellInside(const Polygon& p, PlanePoint at) {
    if (!insideRing(p.outer, at) || boundaryDistance(p.outer, at) < kTouchM) return false;
    for (const Ring& hole : p.holes)
        if (insideRing(hole, at) || boundaryDistance(hole, at) < kTouchM) return false;
    return true;
}

template <class F>
void forRings(const Polygon& p, F&& f) {
    f(p.outer);
    for (const Ring& hole : p.holes) f(hole);
}

bool anyInside(const Polygon& outer, const Polygon& p) {
    bool hit = false;
    forRings(p, [&](const Ring& ring) {
        for (std::size_t i = 0; i < ring.size() && !hit; ++i)
            hit = wellInside(outer, ring[i]) ||
                  wellInside(outer, between(ring[i], ring[(i + 1) % ring.size()], 0.5));
    });
    return hit;
}

} // namespace

bool overlap(const Polygon& a, const Polygon& b) {
    if (!boundsOf(a).meets(boundsOf(b))) return false;
    bool hit = false;
    forRings(a, [&](const Ring& ra) {
        forRings(b, [&](const Ring& rb) {
            for (std::size_t i = 0; i < ra.size() && !hit; ++i)
                for (std::size_t j = 0; j < rb.size() && !hit; ++j)
                    hit = edgesCross(ra[i], ra[(i + 1) % ra.size()], rb[j], rb[(j + 1) % rb.size()]);
        });
    });
    return hit || anyInside(a, b) || anyInside(b, a);
}

namespace {

double lattice(std::uint32_t seed, std::int64_t x, std::int64_t y) {
    Random r(static_cast<std::uint64_t>(x) * 0x9e3779b97f4a7c15ull ^
             static_cast<std::uint64_t>(y) * 0xc2b2ae3d27d4eb4full ^
             (static_cast<std::uint64_t>(seed) << 20));
    r.next();
    return 2 * r.unit() - 1;
}

double ease(double t) { return t * t * t * (t * (t * 6 - 15) + 10); }

} // namespace

double noise(std::uint32_t seed, double x, double y) {
    const double fx = std::floor(x), fy = std::floor(y);
    const auto ix = static_cast<std::int64_t>(fx), iy = static_cast<std::int64_t>(fy);
    const double u = ease(x - fx), v = ease(y - fy);
    const double low = lattice(seed, ix, iy) * (1 - u) + lattice(seed, ix + 1, iy) * u;
    const double high = lattice(seed, ix, iy + 1) * (1 - u) + lattice(seed, ix + 1, iy + 1) * u;
    return low * (1 - v) + high * v;
}

} // namespace fw::town
