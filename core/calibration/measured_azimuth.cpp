// SPDX-License-Identifier: GPL-3.0-or-later
#include "calibration/measured_azimuth.h"

#include "base/text.h"
#include "calibration/robust_fit.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <set>

namespace fw {

namespace {

constexpr double kDiffersDeg = 15, kDiffersErrors = 3;

// One street square as seen from the site: the medians over its points.
struct Seen {
    ItemId cell;
    double bare = 0; ///< measured less predicted, without the pattern's loss
    double azimuth = 0, elevation = 0;
};

std::vector<Seen> seenFrom(const Study& study, const std::vector<const PointResidual*>& residuals) {
    struct Lists {
        std::vector<double> bare, offAzimuth, elevation;
        double azimuth0 = 0;
    };
    std::map<std::pair<ItemId, StreetSquare>, Lists> squares;
    for (const PointResidual* r : residuals) {
        const auto path = study.macroPathTo(r->cell, r->at);
        if (!path) continue;
        Lists& l = squares[{r->cell, squareOf(r->at)}];
        if (l.bare.empty()) l.azimuth0 = path->azimuth.deg;
        l.bare.push_back(r->beforeDb - path->patternLossDb);
        l.offAzimuth.push_back(wrap180(path->azimuth.deg - l.azimuth0)); // across north
        l.elevation.push_back(path->elevationDeg);
    }
    std::vector<Seen> out;
    out.reserve(squares.size());
    for (const auto& [key, l] : squares)
        out.push_back({key.first, medianValue(l.bare), wrap360(l.azimuth0 + medianValue(l.offAzimuth)),
                       medianValue(l.elevation)});
    return out;
}

// Twice the sum of Huber's function of what an azimuth leaves, offset apart, in units of the variance: it
// rises by one at one standard error.
double misfit(const Study& study, const std::vector<Seen>& seen, double azimuthDeg, double scale) {
    std::vector<double> left;
    left.reserve(seen.size());
    for (const Seen& s : seen)
        left.push_back(s.bare + study.macroPatternLossDb(s.cell, s.azimuth - azimuthDeg, s.elevation));
    const double middle = medianValue(left);
    double sum = 0;
    for (const double v : left) {
        const double u = std::fabs(v - middle) / scale;
        sum += u <= kHuberTuning ? u * u : 2 * kHuberTuning * u - kHuberTuning * kHuberTuning;
    }
    return sum;
}

double spreadAt(const Study& study, const std::vector<Seen>& seen, double azimuthDeg) {
    std::vector<double> left;
    left.reserve(seen.size());
    for (const Seen& s : seen)
        left.push_back(s.bare + study.macroPatternLossDb(s.cell, s.azimuth - azimuthDeg, s.elevation));
    const double middle = medianValue(left);
    for (double& v : left) v = std::fabs(v - middle);
    return std::max(0.1, kMadToSigma * medianValue(std::move(left)));
}

struct Best {
    int azimuth = 0;
    double errorDeg = 180;
};

// The scale comes from the best azimuth of a first look, and the misfit may then rise by one.
Best bestOf(const Study& study, const std::vector<Seen>& seen) {
    double scale = HUGE_VAL;
    for (int a = 0; a < 360; ++a) scale = std::min(scale, spreadAt(study, seen, a));
    std::vector<double> rise;
    rise.reserve(360);
    for (int a = 0; a < 360; ++a) rise.push_back(misfit(study, seen, a, scale));
    const auto least = std::min_element(rise.begin(), rise.end());
    Best best{static_cast<int>(least - rise.begin()), 180};
    for (int off = 1; off <= 180; ++off) {
        const double left = rise[static_cast<std::size_t>((best.azimuth - off + 360) % 360)],
                     right = rise[static_cast<std::size_t>((best.azimuth + off) % 360)];
        if (std::min(left, right) - *least < 1) continue; // both sides have to have left it
        best.errorDeg = off;
        break;
    }
    return best;
}

} // namespace

std::vector<MeasuredAzimuth> measuredAzimuths(const Study& study, const Calibration& calibration) {
    const Plan& plan = study.plan();
    std::map<ItemId, std::vector<const PointResidual*>> bySector;
    for (const PointResidual& r : calibration.residuals)
        if (!r.indoor) bySector[plan.cells.find(r.cell)->sector].push_back(&r);
    std::vector<MeasuredAzimuth> out;
    for (const auto& [id, residuals] : bySector) {
        const Sector& sector = *plan.sectors.find(id);
        const PlanePoint site = plan.macroSites.find(sector.site)->at;
        MeasuredAzimuth m;
        m.sector = id;
        m.inventory = m.measured = sector.azimuth;
        m.points = residuals.size();
        std::set<StreetSquare> squares;
        for (const PointResidual* r : residuals) squares.insert(squareOf(r->at));
        m.squares = squares.size();
        if (m.points < kLeastPoints || m.squares < kLeastSquares) {
            m.text = fmt::format("{}: {} points in {} squares are too few to tell its azimuth.",
                                 plan.label(id), m.points, m.squares);
            out.push_back(std::move(m));
            continue;
        }
        const Best best = bestOf(study, seenFrom(study, residuals));
        m.measured = study.frame().toTrue(GridAzimuth::of(best.azimuth), site);
        m.errorDeg = best.errorDeg;
        m.known = best.errorDeg <= kWorstAzimuthErrorDeg;
        const double off = std::fabs(wrap180(m.measured.deg - m.inventory.deg));
        m.differs = m.known && off > std::max(kDiffersDeg, kDiffersErrors * m.errorDeg);
        m.text = m.known ? fmt::format("{}: measured towards {:.0f} deg true, give or take {:.0f}; the "
                                       "inventory says {:.0f}.",
                                       plan.label(id), m.measured.deg, m.errorDeg, m.inventory.deg)
                         : fmt::format("{}: its levels do not tell its azimuth.", plan.label(id));
        out.push_back(std::move(m));
    }
    return out;
}

Result<Edit> azimuthEdit(const Plan& plan, const MeasuredAzimuth& measured) {
    const Sector* sector = plan.sectors.find(measured.sector);
    if (!sector || !measured.known)
        return Error{ErrorCode::badInput, CORE_TEXT("Its azimuth was not measured well enough.")};
    Sector turned = *sector;
    turned.azimuth = TrueAzimuth::of(std::round(measured.measured.deg));
    return Edit{fmt::format("Turn {} to {:.0f}\u00b0", plan.label(turned.id), turned.azimuth.deg),
                {Put{turned}}};
}

} // namespace fw
