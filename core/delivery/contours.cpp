// SPDX-License-Identifier: GPL-3.0-or-later
// Lines of equal height by marching squares over cell centres.
#include "delivery/map_content.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace fw {

namespace {

// A crossing sits on an edge of the lattice of centres: two ends on the same edge are the same point.
struct EdgeKey {
    int col = 0, row = 0;
    bool upright = false; // from (col, row) north; else east
    auto operator<=>(const EdgeKey&) const = default;
};
using Segment = std::pair<EdgeKey, EdgeKey>;

class Level {
public:
    Level(const Grid<float>& g, double heightM) : m_g(g), m_h(heightM) {}

    std::vector<Line> lines() {
        for (int r = 0; r + 1 < m_g.height; ++r)
            for (int c = 0; c + 1 < m_g.width; ++c) square(c, r);
        for (std::size_t i = 0; i < m_segments.size(); ++i) {
            m_at[m_segments[i].first].push_back(i);
            m_at[m_segments[i].second].push_back(i);
        }
        std::vector<Line> out;
        m_used.assign(m_segments.size(), false);
        // Open lines from their ends first, what is left is closed.
        for (int pass = 0; pass < 2; ++pass)
            for (std::size_t i = 0; i < m_segments.size(); ++i) {
                if (m_used[i]) continue;
                const EdgeKey from = m_segments[i].first, to = m_segments[i].second;
                if (pass == 1 || m_at[from].size() == 1)
                    out.push_back(walk(i, from));
                else if (m_at[to].size() == 1)
                    out.push_back(walk(i, to));
            }
        return out;
    }

private:
    [[nodiscard]] bool above(int c, int r) const { return static_cast<double>(m_g.at(c, r)) >= m_h; }

    void square(int c, int r) {
        const bool sw = above(c, r), se = above(c + 1, r), ne = above(c + 1, r + 1), nw = above(c, r + 1);
        const EdgeKey south{c, r, false}, north{c, r + 1, false}, west{c, r, true}, east{c + 1, r, true};
        std::vector<EdgeKey> cut;
        if (sw != se) cut.push_back(south);
        if (se != ne) cut.push_back(east);
        if (nw != ne) cut.push_back(north);
        if (sw != nw) cut.push_back(west);
        if (cut.size() == 2) m_segments.emplace_back(cut[0], cut[1]);
        if (cut.size() != 4) return;
        // A saddle: the mean says whether the high corners are joined.
        const double mean =
            (static_cast<double>(m_g.at(c, r)) + static_cast<double>(m_g.at(c + 1, r)) +
             static_cast<double>(m_g.at(c, r + 1)) + static_cast<double>(m_g.at(c + 1, r + 1))) /
            4;
        const bool joined = (mean >= m_h) == sw;
        m_segments.emplace_back(south, joined ? east : west);
        m_segments.emplace_back(north, joined ? west : east);
    }

    [[nodiscard]] PlanePoint place(const EdgeKey& k) const {
        const int c2 = k.upright ? k.col : k.col + 1, r2 = k.upright ? k.row + 1 : k.row;
        const double a = static_cast<double>(m_g.at(k.col, k.row)), b = static_cast<double>(m_g.at(c2, r2));
        const double t = std::clamp((m_h - a) / (b - a), 0.0, 1.0);
        const PlanePoint p = m_g.centre(k.col, k.row), q = m_g.centre(c2, r2);
        return p + (q - p) * t;
    }

    Line walk(std::size_t i, EdgeKey from) {
        Line line{place(from)};
        while (true) {
            m_used[i] = true;
            from = m_segments[i].first == from ? m_segments[i].second : m_segments[i].first;
            line.push_back(place(from));
            const auto& next = m_at[from];
            const auto it = std::find_if(next.begin(), next.end(), [&](std::size_t k) { return !m_used[k]; });
            if (it == next.end()) return line;
            i = *it;
        }
    }

    const Grid<float>& m_g;
    double m_h;
    std::vector<Segment> m_segments;
    std::map<EdgeKey, std::vector<std::size_t>> m_at;
    std::vector<bool> m_used;
};

} // namespace

std::vector<Contour> contoursOf(const Grid<float>& ground, double stepM) {
    std::vector<Contour> out;
    if (ground.empty() || !(stepM > 0)) return out;
    const auto [lo, hi] = std::minmax_element(ground.cells.begin(), ground.cells.end());
    for (double k = std::ceil(static_cast<double>(*lo) / stepM); k * stepM <= static_cast<double>(*hi); ++k)
        for (Line& line : Level(ground, k * stepM).lines()) out.push_back({k * stepM, std::move(line)});
    return out;
}

double contourStep(const Grid<float>& ground, int most) {
    if (ground.empty() || most < 1) return 10;
    const auto [lo, hi] = std::minmax_element(ground.cells.begin(), ground.cells.end());
    const double range = static_cast<double>(*hi) - static_cast<double>(*lo);
    for (double tens = 1; tens < 1e6; tens *= 10)
        for (const double step : {1.0, 2.0, 5.0})
            if (range / (step * tens) <= most) return step * tens;
    return 1e6;
}

} // namespace fw
