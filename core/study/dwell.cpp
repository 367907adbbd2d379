// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/dwell.h"

#include "base/text.h"
#include "study/rasters.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace fw {
namespace {

constexpr double kPieceM = 1.0;

// Stretches of streets where the small cell leads.
class Chords {
public:
    Chords(const SmallFootprint& area, std::vector<StreetChord>& out) : m_area(area), m_out(out) {}

    void along(const Street& street) {
        m_street = street.id;
        const Line& path = street.path;
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
        if (m_run >= kRasterPixelM) m_out.push_back({m_street, m_run, 0});
        m_run = 0;
    }

    const SmallFootprint& m_area;
    std::vector<StreetChord>& m_out;
    ItemId m_street;
    double m_run = 0;
};

void reckon(Dwell& d) {
    if (d.chords.empty()) return;
    const double metresPerS = d.speedKmh / 3.6;
    std::vector<double> lengths;
    for (StreetChord& c : d.chords) {
        c.stayS = c.lengthM / metresPerS;
        lengths.push_back(c.lengthM);
    }
    std::sort(lengths.begin(), lengths.end());
    const std::size_t half = lengths.size() / 2;
    d.longestM = lengths.back();
    d.medianM = lengths.size() % 2 ? lengths[half] : (lengths[half - 1] + lengths[half]) / 2;
    d.longestS = d.longestM / metresPerS;
    d.medianS = d.medianM / metresPerS;
}

Dwell stayAt(const Study& study, ItemId small, SmallFootprint& area) {
    const Plan& plan = study.plan();
    Dwell d;
    d.small = small;
    d.speedKmh = plan.settings->model.streetSpeedKmh;
    if (footprintOf(study, small, area)) {
        Chords chords(area, d.chords);
        for (const Street& street : plan.streets) chords.along(street);
    }
    reckon(d);
    return d;
}

} // namespace

Dwell dwellOf(const Study& study, ItemId small) {
    SmallFootprint area;
    return stayAt(study, small, area);
}

std::vector<Dwell> dwells(const Study& study) {
    std::vector<Dwell> out;
    SmallFootprint area;
    for (const SmallCellPart& s : study.smallCells())
        if (s.chosen) out.push_back(stayAt(study, s.id, area));
    return out;
}

std::string noteOf(const Dwell& d) {
    if (d.allAreShort())
        return fmt::format(
            CORE_TEXT("short stays: at {:g} km/h even the longest stretch of street is left within "
                      "{:g} s; fast users are better kept on the macro"),
            d.speedKmh, kShortStayS);
    if (d.mostAreShort())
        return fmt::format(
            CORE_TEXT("short stays: at {:g} km/h most stretches of street are left within {:g} s; "
                      "each handover costs signalling"),
            d.speedKmh, kShortStayS);
    return {};
}

Working workingOf(const Plan& plan, const Dwell& d) {
    Working w;
    w.title = fmt::format(CORE_TEXT("How long users on streets stay with {}"), plan.label(d.small));
    w.inputs = {{CORE_TEXT("speed along streets"), d.speedKmh, "km/h", CORE_TEXT("plan")},
                {CORE_TEXT("a short stay is under"), kShortStayS, "s", CORE_TEXT("own judgement")}};
    for (const StreetChord& c : d.chords)
        w.steps.push_back({plan.label(c.street),
                           fmt::format("chord / speed = {:.1f} m / ({:g} km/h / 3.6)", c.lengthM, d.speedKmh),
                           c.stayS, "s"});
    w.steps.push_back({CORE_TEXT("longest"), CORE_TEXT("of all chords"), d.longestS, "s"});
    w.steps.push_back(
        {CORE_TEXT("median"), CORE_TEXT("middle one; of an even number, the mean of both"), d.medianS, "s"});
    w.source = CORE_TEXT("chord / speed, common practice; speed and limit of a short stay, own judgement");
    w.remarks.emplace_back(CORE_TEXT(
        "A chord is a stretch of one street where the small cell as entered is stronger than every macro "
        "of its carrier; those under 4 m are left out."));
    if (d.chords.empty()) w.remarks.emplace_back(CORE_TEXT("It leads on no street of the plan."));
    if (const std::string note = noteOf(d); !note.empty()) w.remarks.push_back(note);
    return w;
}

} // namespace fw
