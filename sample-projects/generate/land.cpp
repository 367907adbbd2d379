// SPDX-License-Identifier: GPL-3.0-or-later
#include "land.h"

#include "base/log_exp.h"
#include "pieces.h"

#include <algorithm>
#include <cmath>

namespace fw::town {

namespace {

// Shore as drawn by hand, anticlockwise from the south-west; kSharp stretches are built quays.
const Ring kShore{{720, 650},   {880, 560},   {1060, 470},  {1250, 420},  {1400, 430},  {1480, 520},
                  {1520, 650},  {1480, 790},  {1460, 930},  {1560, 1020}, {1600, 1150}, {1700, 1230},
                  {1840, 1210}, {1890, 1110}, {2010, 1090}, {2120, 1000}, {2180, 850},  {2150, 680},
                  {2230, 520},  {2400, 430},  {2640, 500},  {2850, 640},  {3100, 780},  {3350, 980},
                  {3400, 1250}, {3260, 1500}, {3180, 1750}, {3330, 1950}, {3420, 2250}, {3280, 2550},
                  {3150, 2850}, {3330, 3150}, {3200, 3500}, {2850, 3650}, {2600, 3950}, {2200, 4080},
                  {1800, 3920}, {1350, 4050}, {1000, 3850}, {560, 3900},  {250, 3650},  {330, 3300},
                  {180, 2950},  {250, 2650},  {430, 2400},  {480, 2100},  {330, 1900},  {300, 1650},
                  {420, 1400},  {520, 1150},  {560, 900}};

Ring roundedRing(const Ring& corners, int steps) {
    Ring out;
    const std::size_t n = corners.size();
    for (std::size_t i = 0; i < n; ++i) {
        const PlanePoint a = corners[(i + n - 1) % n], b = corners[i], c = corners[(i + 1) % n],
                         d = corners[(i + 2) % n];
        for (int k = 0; k < steps; ++k) {
            // Catmull-Rom: through every corner, with the neighbours' direction.
            const double t = static_cast<double>(k) / steps, t2 = t * t, t3 = t2 * t;
            out.push_back((b * 2.0 + (c - a) * t + (a * 2.0 - b * 5.0 + c * 4.0 - d) * t2 +
                           (b * 3.0 - a - c * 3.0 + d) * t3) *
                          0.5);
        }
    }
    return out;
}

bool inHarbour(PlanePoint p) { return p.x > 1420 && p.x < 2200 && p.y > 540 && p.y < 1260; }

struct Hill {
    PlanePoint at;
    double heightM, radiusM, stretch; // stretch: longer east to west
};
constexpr Hill kHills[] = {{{950, 3120}, 167, 560, 1.35}, {{2480, 3380}, 118, 520, 1.5},
                           {{620, 2150}, 62, 380, 0.9},   {{1160, 800}, 21, 210, 1.1},
                           {{3080, 2600}, 58, 420, 1.0},  {{1720, 2850}, 34, 380, 1.2},
                           {{2900, 860}, 14, 260, 1.3}};

double smooth(double t) {
    t = std::clamp(t, 0.0, 1.0);
    return t * t * (3 - 2 * t);
}

} // namespace

Land::Land() : m_coast(roundedRing(kShore, 8)) {
    // A natural shore is ragged, a quay is not.
    for (PlanePoint& p : m_coast)
        if (!inHarbour(p))
            p = p + PlanePoint{18 * noise(11, p.x / 90, p.y / 90), 18 * noise(12, p.x / 90, p.y / 90)};
    m_moles = {{{1440, 478}, {1560, 420}, {1790, 400}, {1790, 414}, {1565, 436}, {1450, 500}},
               {{1484, 884}, {1650, 866}, {1651, 880}, {1480, 902}},
               {{2166, 776}, {1985, 802}, {1982, 784}, {2166, 756}},
               {{2186, 650}, {2010, 668}, {2008, 650}, {2186, 630}}};
    smoothHeights({-500, -300, 4200, 4500});
}

double Land::inlandM(PlanePoint p) const {
    const double d = boundaryDistance(m_coast, p);
    return insideRing(m_coast, p) ? d : -d;
}

double Land::hillsM(PlanePoint p) const {
    double h = 0;
    for (const Hill& hill : kHills) {
        const double dx = (p.x - hill.at.x) / hill.stretch, dy = p.y - hill.at.y;
        h += hill.heightM * expFixed(-(dx * dx + dy * dy) / (hill.radiusM * hill.radiusM));
    }
    // Spurs and gullies, stronger where it is steep country anyway.
    const double rough = 0.16 * noise(21, p.x / 310, p.y / 310) + 0.07 * noise(22, p.x / 120, p.y / 120);
    return h * (1 + rough) + 0.9 * noise(23, p.x / 75, p.y / 75);
}

double Land::roughHeightM(PlanePoint p) const {
    const double in = inlandM(p);
    if (in <= 0) return 0;
    return 1.0 + std::min(in * 0.035, 9.0) + std::max(0.0, hillsM(p)) * smooth(in / 320);
}

// Distance to the shore has creases where two shores are equally far; averaging the heights takes them out.
void Land::smoothHeights(const Box& area) {
    constexpr double kCellM = 20;
    constexpr int kReach = 4;
    Grid<double> rough(area.x0, area.y0, kCellM, static_cast<int>(area.width() / kCellM),
                       static_cast<int>(area.height() / kCellM));
    for (int row = 0; row < rough.height; ++row)
        for (int col = 0; col < rough.width; ++col) rough.at(col, row) = roughHeightM(rough.centre(col, row));
    m_heights = rough;
    for (int row = 0; row < rough.height; ++row)
        for (int col = 0; col < rough.width; ++col) {
            double sum = 0, weights = 0;
            for (int dy = -kReach; dy <= kReach; ++dy)
                for (int dx = -kReach; dx <= kReach; ++dx)
                    if (rough.inside(col + dx, row + dy)) {
                        const double w = kReach * kReach + 1.0 - (dx * dx + dy * dy) * 0.5;
                        sum += w * rough.at(col + dx, row + dy);
                        weights += w;
                    }
            m_heights.at(col, row) = sum / weights;
        }
}

double Land::heightM(PlanePoint p) const {
    for (const Ring& mole : m_moles)
        if (insideRing(mole, p)) return 3;
    const double in = inlandM(p);
    if (in <= 0) return 0;
    const double fx = (p.x - m_heights.x0) / m_heights.cellM - 0.5,
                 fy = (p.y - m_heights.y0) / m_heights.cellM - 0.5;
    const int col = std::clamp(static_cast<int>(std::floor(fx)), 0, m_heights.width - 2);
    const int row = std::clamp(static_cast<int>(std::floor(fy)), 0, m_heights.height - 2);
    const double u = std::clamp(fx - col, 0.0, 1.0), v = std::clamp(fy - row, 0.0, 1.0);
    const double h = (m_heights.at(col, row) * (1 - u) + m_heights.at(col + 1, row) * u) * (1 - v) +
                     (m_heights.at(col, row + 1) * (1 - u) + m_heights.at(col + 1, row + 1) * u) * v;
    const bool quay = inHarbour(p) && in < 40;
    return std::max(quay ? 2.5 : std::min(1.0, 0.4 + in * 0.05), h);
}

Grid<float> Land::raster(PlanePoint origin, const Box& area, double cellM) const {
    Grid<float> out(origin.x + area.x0, origin.y + area.y0, cellM, static_cast<int>(area.width() / cellM),
                    static_cast<int>(area.height() / cellM));
    for (int row = 0; row < out.height; ++row)
        for (int col = 0; col < out.width; ++col)
            out.at(col, row) =
                static_cast<float>(std::floor(heightM(out.centre(col, row) - origin) * 4 + 0.5) / 4);
    return out;
}

PlanePoint bent(PlanePoint p) {
    const double x = p.x / 680, y = p.y / 680, fx = p.x / 230, fy = p.y / 230;
    return {p.x + 45 * noise(31, x, y) + 7 * noise(33, fx, fy),
            p.y + 45 * noise(32, x, y) + 7 * noise(34, fx, fy)};
}

Line bentLine(const Line& line, double stepM) {
    Line out;
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const int n = std::max(1, static_cast<int>(std::ceil(planeDistance(line[i], line[i + 1]) / stepM)));
        for (int k = 0; k < n; ++k)
            out.push_back(bent(between(line[i], line[i + 1], static_cast<double>(k) / n)));
    }
    out.push_back(bent(line.back()));
    return out;
}

Ring bentRing(const Ring& ring, double stepM) {
    Line closed = ring;
    closed.push_back(ring.front());
    Ring out = bentLine(closed, stepM);
    out.pop_back();
    return out;
}

} // namespace fw::town
