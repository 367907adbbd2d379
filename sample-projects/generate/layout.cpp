// SPDX-License-Identifier: GPL-3.0-or-later
#include "layout.h"

#include "pieces.h"

#include <algorithm>
#include <cmath>

namespace fw::town {

namespace {

class Drawing {
public:
    Drawing(const std::vector<Cut>& cuts, const std::vector<District>& districts, std::uint64_t seed)
        : m_cuts(cuts), m_districts(districts), m_random(seed) {}

    void divide(const Ring& area, int node) {
        if (area.empty()) return;
        if (node < 0) return fill(area, ~node);
        const Cut& cut = m_cuts[static_cast<std::size_t>(node)];
        const PlanePoint d = unit(cut.b - cut.a);
        if (cut.carriageM > 0) street(area, cut.a, d, {cut.name, {}, {}, cut.rowM, cut.carriageM, 0, -1}, 9);
        divide(leftPart(area, cut.a, d, cut.rowM / 2), cut.left);
        divide(leftPart(area, cut.a, d * -1, cut.rowM / 2), cut.right);
    }

    Layout result;

private:
    void street(const Ring& area, PlanePoint on, PlanePoint d, BoardStreet s, double beyondM) {
        const auto c = chord(area, on, d);
        if (!c || planeDistance(c->first, c->second) < 12) return;
        // On to the carriageway of the streets at both ends.
        s.a = c->first - d * beyondM;
        s.b = c->second + d * beyondM;
        result.streets.push_back(std::move(s));
    }

    void fill(const Ring& area, int index) {
        const District& district = m_districts[static_cast<std::size_t>(index)];
        if (district.style == Style::park) return block(area, index);
        if (!district.planned) return wander(area, index, 0);
        grid(area, index, district.style == Style::grid);
    }

    void block(const Ring& area, int index) {
        if (signedArea(area) > 220) result.blocks.push_back({simplified(area, 0.8), index, false});
    }

    // Cuts across the longer way, each a little off, until the pieces are small: what grows where nobody
    // planned.
    void wander(const Ring& area, int index, int depth) {
        const District& district = m_districts[static_cast<std::size_t>(index)];
        const double enough = district.blockLongM * district.blockDeepM * m_random.between(0.65, 1.5);
        if (signedArea(area) < enough || depth > 12) return block(area, index);
        const PlanePoint u = mainDirection(area), v = leftOf(u);
        const Extent eu = extentAlong(area, u), ev = extentAlong(area, v);
        const bool acrossLong = eu.length() >= ev.length();
        const PlanePoint along = acrossLong ? u : v;
        const Extent e = acrossLong ? eu : ev;
        const double at = e.from + e.length() * m_random.between(0.4, 0.6);
        const PlanePoint centre = boundsOf(Line(area)).centre();
        const PlanePoint on = centre + along * (at - dot(centre, along));
        const PlanePoint off = directionDeg(m_random.between(-13, 13));
        const PlanePoint across = leftOf(along);
        const PlanePoint d = {across.x * off.x - across.y * off.y, across.x * off.y + across.y * off.x};
        const double narrow = district.style == Style::oldTown ? std::max(0.62, 1.25 - 0.1 * depth) : 1;
        const double row = district.rowM * narrow, carriage = district.carriageM * narrow;
        street(area, on, d, {"", {}, {}, row, carriage, std::min(3, 1 + depth / 2), index}, row * 0.45);
        wander(leftPart(area, on, d, row / 2), index, depth + 1);
        wander(leftPart(area, on, d * -1, row / 2), index, depth + 1);
    }

    std::vector<double> places(const Extent& e, double each, double shift) {
        const int n = std::max(1, static_cast<int>(std::floor(e.length() / each + 0.5)));
        std::vector<double> at;
        for (int k = 1; k < n; ++k)
            at.push_back(e.from + e.length() * (k + shift + m_random.between(-0.05, 0.05)) / n);
        return at;
    }

    // Long streets one way; short ones the other, through all strips or strip by strip.
    void grid(const Ring& area, int index, bool through) {
        const District& district = m_districts[static_cast<std::size_t>(index)];
        const PlanePoint u = directionDeg(district.directionDeg), v = leftOf(u);
        const double half = district.rowM / 2;
        const auto rows = places(extentAlong(area, v), district.blockDeepM + district.rowM, 0);
        const auto whole = places(extentAlong(area, u), district.blockLongM + district.rowM, 0);
        const BoardStreet pattern{"", {}, {}, district.rowM, district.carriageM, 1, index};
        for (const double at : rows) street(area, v * at, u, pattern, half);
        if (through)
            for (const double at : whole) street(area, u * at, v, pattern, half);
        for (std::size_t r = 0; r <= rows.size(); ++r) {
            Ring strip = area;
            if (r > 0) strip = leftPart(strip, v * rows[r - 1], u, half);
            if (r < rows.size() && !strip.empty()) strip = leftPart(strip, v * rows[r], u * -1, half);
            if (strip.empty()) continue;
            cross(strip, index,
                  through ? whole
                          : places(extentAlong(strip, u), district.blockLongM + district.rowM,
                                   r % 2 ? 0.24 : -0.24),
                  !through);
        }
    }

    void cross(const Ring& strip, int index, const std::vector<double>& at, bool draw) {
        const District& district = m_districts[static_cast<std::size_t>(index)];
        const PlanePoint u = directionDeg(district.directionDeg), v = leftOf(u);
        const double half = district.rowM / 2;
        for (std::size_t k = 0; k <= at.size(); ++k) {
            Ring piece = strip;
            if (k > 0) piece = leftPart(piece, u * at[k - 1], v * -1, half);
            if (k < at.size() && !piece.empty()) piece = leftPart(piece, u * at[k], v, half);
            if (!piece.empty()) block(piece, index);
            if (draw && k < at.size())
                street(strip, u * at[k], v, {"", {}, {}, district.rowM, district.carriageM, 2, index}, half);
        }
    }

    const std::vector<Cut>& m_cuts;
    const std::vector<District>& m_districts;
    Random m_random;
};

} // namespace

Layout layOut(const Ring& outline, const std::vector<Cut>& cuts, const std::vector<District>& districts,
              std::uint64_t seed) {
    Drawing drawing(cuts, districts, seed);
    drawing.divide(outline, cuts.empty() ? ~0 : 0);
    return std::move(drawing.result);
}

} // namespace fw::town
