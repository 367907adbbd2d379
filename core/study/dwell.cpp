// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/dwell.h"

#include "study/rasters.h"

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

constexpr double kPieceM = 1.0;

// Stretches of one line where the small cell leads.
class Chords {
public:
    Chords(const SmallFootprint& area, std::vector<double>& out) : m_area(area), m_out(out) {}

    void along(const Line& path) {
        for (std::size_t k = 1; k < path.size(); ++k) segment(path[k - 1], path[k]);
        close();
    }

private:
    void segment(PlanePoint a, PlanePoint b) {
        const double dx = b.x - a.x, dy = b.y - a.y, length = std::sqrt(dx * dx + dy * dy);
        if (!(length > 0)) return;
        const Box box = m_area.levelCenti.bounds();
        if (std::max(a.x, b.x) < box.x0 || std::min(a.x, b.x) > box.x1 || std::max(a.y, b.y) < box.y0 ||
            std::min(a.y, b.y) > box.y1) {
            close();
            return;
        }
        const auto pieces = static_cast<int>(std::ceil(length / kPieceM));
        for (int i = 0; i < pieces; ++i) {
            const double f = (i + 0.5) / pieces;
            if (leads({a.x + f * dx, a.y + f * dy}))
                m_run += length / pieces;
            else
                close();
        }
    }

    [[nodiscard]] bool leads(PlanePoint p) const {
        const auto& g = m_area.levelCenti;
        const int col = g.colOf(p.x), row = g.rowOf(p.y);
        return g.inside(col, row) && m_area.leads(g.index(col, row));
    }

    void close() {
        if (m_run >= kRasterPixelM) m_out.push_back(m_run);
        m_run = 0;
    }

    const SmallFootprint& m_area;
    std::vector<double>& m_out;
    double m_run = 0;
};

Dwell dwellOf(ItemId small, std::vector<double> chords, const DwellOptions& o) {
    Dwell d;
    d.small = small;
    d.chords = static_cast<int>(chords.size());
    if (chords.empty()) return d;
    std::sort(chords.begin(), chords.end());
    const std::size_t half = chords.size() / 2;
    d.longestM = chords.back();
    d.medianM = chords.size() % 2 ? chords[half] : (chords[half - 1] + chords[half]) / 2;
    const double metresPerS = o.speedKmh / 3.6;
    d.longestS = d.longestM / metresPerS;
    d.medianS = d.medianM / metresPerS;
    d.passed = d.longestS < o.leastS;
    return d;
}

} // namespace

std::vector<Dwell> dwells(const Study& study, const DwellOptions& options) {
    std::vector<Dwell> out;
    SmallFootprint area;
    for (const SmallCellPart& s : study.smallCells()) {
        if (!s.chosen) continue;
        std::vector<double> lengths;
        if (footprintOf(study, s.id, area)) {
            Chords chords(area, lengths);
            for (const Street& street : study.plan().streets) chords.along(street.path);
        }
        out.push_back(dwellOf(s.id, std::move(lengths), options));
    }
    return out;
}

} // namespace fw
