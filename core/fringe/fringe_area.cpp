// SPDX-License-Identifier: GPL-3.0-or-later
#include "fringe/fringe_area.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace fw {
namespace {

using Mask = Grid<std::uint8_t>;
constexpr int kRadius = 4;

// Number of set pixels in the square round each pixel, by running sums.
Grid<int> counts(const Mask& m) {
    Grid<int> rows(m.x0, m.y0, m.cellM, m.width, m.height, 0), out = rows;
    for (int y = 0; y < m.height; ++y)
        for (int x = -kRadius, sum = 0; x < m.width; ++x) {
            if (x + kRadius < m.width) sum += m.at(x + kRadius, y);
            if (x - kRadius - 1 >= 0) sum -= m.at(x - kRadius - 1, y);
            if (x >= 0) rows.at(x, y) = sum;
        }
    for (int x = 0; x < m.width; ++x)
        for (int y = -kRadius, sum = 0; y < m.height; ++y) {
            if (y + kRadius < m.height) sum += rows.at(x, y + kRadius);
            if (y - kRadius - 1 >= 0) sum -= rows.at(x, y - kRadius - 1);
            if (y >= 0) out.at(x, y) = sum;
        }
    return out;
}

Mask atLeast(const Mask& m, double share) {
    const Grid<int> n = counts(m);
    const int need = static_cast<int>(std::ceil(share * (2 * kRadius + 1) * (2 * kRadius + 1)));
    Mask out(m.x0, m.y0, m.cellM, m.width, m.height, 0);
    for (std::size_t i = 0; i < out.cells.size(); ++i) out.cells[i] = n.cells[i] >= need;
    return out;
}

// Turns parts of value `v` smaller than `least` pixels into the other value. Parts hang together by edges.
void dropSmall(Mask& m, std::uint8_t v, std::size_t least) {
    std::vector<std::uint8_t> seen(m.cells.size(), 0);
    std::vector<std::pair<int, int>> part;
    for (int y = 0; y < m.height; ++y)
        for (int x = 0; x < m.width; ++x) {
            if (m.at(x, y) != v || seen[m.index(x, y)]) continue;
            part.assign(1, {x, y});
            seen[m.index(x, y)] = 1;
            bool rim = false;
            for (std::size_t k = 0; k < part.size(); ++k) {
                const auto [px, py] = part[k];
                for (const auto& [dx, dy] : {std::pair{1, 0}, {-1, 0}, {0, 1}, {0, -1}}) {
                    const int qx = px + dx, qy = py + dy;
                    if (!m.inside(qx, qy)) {
                        rim = true;
                        continue;
                    }
                    if (m.at(qx, qy) != v || seen[m.index(qx, qy)]) continue;
                    seen[m.index(qx, qy)] = 1;
                    part.emplace_back(qx, qy);
                }
            }
            if (part.size() >= least || (v == 0 && rim)) continue; // the outside is no hole
            for (const auto& [px, py] : part) m.at(px, py) = v ? 0 : 1;
        }
}

void simplify(const Ring& in, std::size_t a, std::size_t b, double tolerance,
              std::vector<std::uint8_t>& keep) {
    double worst = 0;
    std::size_t at = a;
    const PlanePoint p = in[a], d = in[b % in.size()] - p;
    const double len = length(d);
    for (std::size_t k = a + 1; k < b; ++k) {
        const double off = len > 0 ? std::fabs(cross(d, in[k] - p)) / len : planeDistance(p, in[k]);
        if (off > worst) {
            worst = off;
            at = k;
        }
    }
    if (worst <= tolerance) return;
    keep[at] = 1;
    simplify(in, a, at, tolerance, keep);
    simplify(in, at, b, tolerance, keep);
}

Ring simplified(const Ring& r, double tolerance) {
    if (r.size() < 5) return r;
    // Two corners that surely stay: the first and the one farthest from it.
    std::size_t far = 0;
    for (std::size_t k = 1; k < r.size(); ++k)
        if (planeDistance(r[0], r[k]) > planeDistance(r[0], r[far])) far = k;
    std::vector<std::uint8_t> keep(r.size(), 0);
    keep[0] = keep[far] = 1;
    simplify(r, 0, far, tolerance, keep);
    simplify(r, far, r.size(), tolerance, keep);
    Ring out;
    for (std::size_t k = 0; k < r.size(); ++k)
        if (keep[k]) out.push_back(r[k]);
    return out;
}

// Walks pixel edges with the set side on the left: outer rings come out anticlockwise, holes clockwise. Where
// two set pixels touch by a corner alone the walk turns left, so that they stay apart.
class Tracer {
public:
    explicit Tracer(const Mask& m)
        : m_m(m), m_used(4 * (m.cells.size() + static_cast<std::size_t>(m.height)), 0) {}

    std::vector<Ring> rings() {
        std::vector<Ring> out;
        for (int y = 0; y < m_m.height; ++y)
            for (int x = 0; x < m_m.width; ++x)
                if (set(x, y) && !set(x, y - 1) && !used(x, y, 0)) out.push_back(walk(x, y));
        return out;
    }

private:
    [[nodiscard]] bool set(int x, int y) const { return m_m.inside(x, y) && m_m.at(x, y); }
    // Side s of pixel (x, y): 0 south (going east), 1 east (north), 2 north (west), 3 west (south).
    std::uint8_t& used(int x, int y, int s) {
        return m_used[4 * m_m.index(x, y) + static_cast<std::size_t>(s)];
    }
    Ring walk(int x, int y) {
        static constexpr std::array<std::pair<int, int>, 4> ahead{{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}};
        static constexpr std::array<std::pair<int, int>, 4> corner{{{1, 0}, {1, 1}, {0, 1}, {0, 0}}};
        Ring ring;
        int s = 0;
        while (!used(x, y, s)) {
            used(x, y, s) = 1;
            const auto i = static_cast<std::size_t>(s);
            ring.push_back(
                {m_m.x0 + (x + corner[i].first) * m_m.cellM, m_m.y0 + (y + corner[i].second) * m_m.cellM});
            const int fx = x + ahead[i].first, fy = y + ahead[i].second; // straight on
            const auto r = static_cast<std::size_t>((s + 3) % 4);
            const int rx = fx + ahead[r].first,
                      ry = fy + ahead[r].second; // the pixel across the corner, to the right
            if (!set(fx, fy)) {
                s = (s + 1) % 4; // turn left round this pixel
            } else if (!set(rx, ry)) {
                x = fx;
                y = fy;
            } else {
                x = rx;
                y = ry;
                s = static_cast<int>(r);
            }
        }
        return ring;
    }
    const Mask& m_m;
    std::vector<std::uint8_t> m_used;
};

} // namespace

Grid<std::uint8_t> smoothed(const Grid<std::uint8_t>& mask, double leastM2) {
    Mask m = atLeast(atLeast(mask, 0.35), 0.5);
    const auto least = static_cast<std::size_t>(leastM2 / (m.cellM * m.cellM));
    dropSmall(m, 1, least);
    dropSmall(m, 0, least);
    return m;
}

std::vector<Polygon> outlines(const Grid<std::uint8_t>& mask, double toleranceM) {
    std::vector<Polygon> out;
    std::vector<Ring> outers, holes; // as traced, and simplified
    std::vector<PlanePoint> beside;  // a place just inside the area that a hole is cut from
    for (Ring& ring : Tracer(mask).rings()) {
        // A pixel's straight runs give a corner every cell: drop those in line, then simplify.
        Ring corners;
        for (std::size_t k = 0; k < ring.size(); ++k) {
            const PlanePoint a = ring[(k + ring.size() - 1) % ring.size()], b = ring[k],
                             c = ring[(k + 1) % ring.size()];
            if (cross(b - a, c - b) != 0) corners.push_back(b);
        }
        const bool hole = signedArea(corners) < 0;
        Ring simple = simplified(corners, toleranceM);
        if (simple.size() < 3) simple = corners;
        if (hole) {
            const PlanePoint d = corners[1] - corners[0]; // the set side lies to the left
            beside.push_back(corners[0] + d * (0.25 * mask.cellM / length(d)) +
                             PlanePoint{-d.y, d.x} * (0.25 * mask.cellM / length(d)));
            holes.push_back(std::move(simple));
        } else {
            out.push_back({std::move(simple), {}});
            outers.push_back(std::move(corners));
        }
    }
    for (std::size_t h = 0; h < holes.size(); ++h) {
        std::size_t home = out.size(); // the smallest area round it
        for (std::size_t k = 0; k < out.size(); ++k)
            if (contains({outers[k], {}}, beside[h]) &&
                (home == out.size() || signedArea(outers[k]) < signedArea(outers[home])))
                home = k;
        if (home < out.size()) out[home].holes.push_back(std::move(holes[h]));
    }
    return out;
}

} // namespace fw
