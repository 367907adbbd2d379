// SPDX-License-Identifier: GPL-3.0-or-later
#include "calibration/calibration.h"

#include "base/log_exp.h"
#include "base/text.h"
#include "calibration/robust_fit.h"
#include "fringe/site_path.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <set>

namespace fw {

namespace {

constexpr double kLeastScaleDb = 1;  // levels are reported in whole decibels (3GPP TS 36.133, 9.1.4)
constexpr double kMostOffsetDb = 30; // beyond it something else is wrong [own judgement]

struct Sample {
    std::size_t point = 0;
    ItemId cell;
    PlanePoint at;
    double errorDb = 0; ///< measured less predicted
    double distanceM = 1;
    StreetSquare square;
    bool held = false, indoor = false;
    EntryKind entry = EntryKind::unknown;
    double weight = 0;
};
using Samples = std::vector<Sample>;
using Chosen = std::vector<Sample*>; // of one cell, in the order of points

template <class Range, class ErrorOf>
ErrorFigures figuresOf(const Range& samples, ErrorOf&& errorOf) {
    ErrorFigures f;
    double sum = 0, squares = 0;
    for (const auto* s : samples) {
        const double e = errorOf(*s);
        sum += e;
        squares += e * e;
        ++f.points;
    }
    if (f.points == 0) return f;
    const auto n = static_cast<double>(f.points);
    f.meanDb = sum / n;
    f.rmseDb = std::sqrt(squares / n);
    f.sigmaDb = std::sqrt(std::max(0.0, squares / n - f.meanDb * f.meanDb));
    return f;
}

BeforeAfter beforeAfter(const Chosen& samples, double changeDb) {
    return {figuresOf(samples, [](const Sample& s) { return s.errorDb; }),
            figuresOf(samples, [&](const Sample& s) { return s.errorDb - changeDb; })};
}

std::size_t squaresIn(const Chosen& samples) {
    std::set<StreetSquare> all;
    for (const Sample* s : samples) all.insert(s->square);
    return all.size();
}

Chosen heldOutOf(const Chosen& samples, bool held) {
    Chosen out;
    std::copy_if(samples.begin(), samples.end(), std::back_inserter(out),
                 [&](const Sample* s) { return s->held == held; });
    return out;
}

// Numbers the squares, for the errors of a fit.
std::vector<std::uint32_t> clustersOf(const Chosen& samples) {
    std::map<StreetSquare, std::uint32_t> number;
    std::vector<std::uint32_t> out;
    out.reserve(samples.size());
    for (const Sample* s : samples)
        out.push_back(number.try_emplace(s->square, static_cast<std::uint32_t>(number.size())).first->second);
    return out;
}

double meanLogDistance(const Chosen& samples) {
    double sum = 0;
    for (const Sample* s : samples) sum += log10Fixed(s->distanceM);
    return sum / static_cast<double>(samples.size());
}

RobustFit fitOf(const Chosen& samples, bool slope, double meanLog) {
    std::vector<FitRow> rows;
    std::vector<double> y;
    for (const Sample* s : samples) {
        rows.push_back({1, slope ? log10Fixed(s->distanceM) - meanLog : 0, 0});
        y.push_back(s->errorDb);
    }
    return robustFit(rows, y, clustersOf(samples), slope ? 2 : 1, kLeastScaleDb);
}

void fitSlope(CellCalibration& c, const Chosen& train, const Chosen& held) {
    const double meanLog = meanLogDistance(train);
    const RobustFit fit = fitOf(train, true, meanLog);
    if (!fit.ok || !std::isfinite(fit.error[1])) return; // all as far away
    c.slopeDb = fit.value[1];
    c.slopeErrorDb = fit.error[1];
    if (held.empty()) return;
    c.slopeHeldOutRmseDb =
        figuresOf(held, [&](const Sample& s) {
            return s.errorDb - fit.value[0] - fit.value[1] * (log10Fixed(s.distanceM) - meanLog);
        }).rmseDb;
}

CellCalibration fitCell(const Plan& plan, ItemId id, const Chosen& samples, bool slope) {
    const Chosen train = heldOutOf(samples, false), held = heldOutOf(samples, true);
    CellCalibration c;
    c.cell = id;
    c.points = samples.size();
    c.squares = squaresIn(samples);
    c.offsetBeforeDb = c.offsetAfterDb = plan.cells.find(id)->offsetDb;
    c.fittedOn = beforeAfter(train, 0);
    c.heldOut = beforeAfter(held, 0);
    if (c.points < kLeastPoints || c.squares < kLeastSquares) {
        c.whyNot = fmt::format("{} points in {} squares are too few; it takes {} in {}.", c.points, c.squares,
                               kLeastPoints, kLeastSquares);
        return c;
    }
    const RobustFit fit = fitOf(train, false, 0);
    if (!fit.ok || !std::isfinite(fit.error[0])) {
        c.whyNot = "Its points lie too close together.";
        return c;
    }
    c.fitDb = fit.value[0];
    c.errorDb = fit.error[0];
    c.scaleDb = fit.scale;
    const double after = std::round((c.offsetBeforeDb + c.fitDb) * 10) / 10;
    if (std::fabs(after) > kMostOffsetDb) {
        c.whyNot = fmt::format("It would take an offset of {:.1f} dB; look at its power, height and place "
                               "first.",
                               after);
        return c;
    }
    c.fitted = true;
    c.offsetAfterDb = after;
    for (std::size_t i = 0; i < train.size(); ++i) {
        train[i]->weight = fit.weights[i];
        c.leftOut += fit.weights[i] == 0;
    }
    c.fittedOn = beforeAfter(train, after - c.offsetBeforeDb);
    c.heldOut = beforeAfter(held, after - c.offsetBeforeDb);
    if (slope) fitSlope(c, train, held);
    return c;
}

// The share of efficient buildings at which buildings of unknown kind lose `excessDb` less than now, met
// level: the steps of a share are alike at all elevations.
std::optional<double> shareFor(const Study& study, const Samples& samples, double excessDb) {
    const auto first = std::find_if(samples.begin(), samples.end(), [](const Sample& s) { return s.indoor; });
    for (const Sample& s : samples)
        if (s.indoor && s.entry != EntryKind::unknown) return {};
    const Hertz f = study.layers()[static_cast<std::size_t>(study.macroCell(first->cell)->layer)].frequency;
    const ModelSettings& m = study.plan().settings->model;
    const double now = EntryTable(f, m.efficientShare, m.entry).centi(EntryKind::unknown, 0) / 100.0;
    std::optional<double> best;
    double bestOff = 0.5; // dB; nearer than half a decibel or not at all
    for (int k = 0; k <= 100; ++k) {
        const double loss = EntryTable(f, k / 100.0, m.entry).centi(EntryKind::unknown, 0) / 100.0;
        if (const double off = std::fabs(now - loss - excessDb); off < bestOff) {
            bestOff = off;
            best = k / 100.0;
        }
    }
    return best;
}

void count(ErrorHistogram& h, double errorDb) {
    constexpr int kMiddle = kHistogramClasses / 2;
    const double k = std::floor(errorDb / kHistogramStepDb + 0.5) + kMiddle;
    ++h[static_cast<std::size_t>(std::clamp(k, 0.0, kHistogramClasses - 1.0))];
}

class Calibrator {
public:
    Calibrator(const Study& study, std::span<const MeasuredPoint> points, const CalibrationOptions& options,
               const Job& job)
        : m_study(study), m_points(points), m_job(job) {
        m_out.options = options;
        m_out.given = points.size();
    }

    Result<Calibration> run() {
        if (m_points.empty()) return Error{ErrorCode::badInput, CORE_TEXT("There are no measured points.")};
        predict();
        if (m_job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
        fitCells();
        if (m_out.options.indoor) fitIndoor();
        summarise();
        m_out.verdict = verdict();
        m_out.usable = std::any_of(m_out.cells.begin(), m_out.cells.end(),
                                   [](const CellCalibration& c) { return c.fitted; });
        return std::move(m_out);
    }

private:
    void predict() {
        const Plan& plan = m_study.plan();
        const Matching m = matchPoints(plan, m_points, plan.settings->model.macroReachM);
        m_out.notALevel = m.notALevel;
        m_out.unknownCell = m.unknownCell;
        m_out.ambiguous = m.ambiguous;
        for (const MatchedPoint& each : m.matched) {
            if (m_samples.size() % 1024 == 0 && m_job.stopped()) return;
            const MeasuredPoint& p = m_points[each.point];
            const auto path = p.indoor ? m_study.macroPathInto(each.cell, p.at, p.heightM)
                                       : m_study.macroPathTo(each.cell, p.at);
            if (!path) {
                ++m_out.notPredicted;
                continue;
            }
            Sample s{
                each.point,    each.cell, p.at, p.rsrpDbm - path->levelDbm, std::max(1.0, path->distanceM),
                squareOf(p.at)};
            s.held = heldOut(s.square);
            s.indoor = p.indoor;
            s.entry = path->entry;
            m_samples.push_back(s);
        }
        m_out.matched = m_samples.size();
        std::set<StreetSquare> squares;
        for (const Sample& s : m_samples) squares.insert(s.square);
        m_out.squares = squares.size();
    }

    void fitCells() {
        std::map<ItemId, Chosen> byCell;
        for (Sample& s : m_samples)
            if (Chosen& of = byCell[s.cell]; !s.indoor) of.push_back(&s);
        for (const auto& [id, samples] : byCell)
            m_out.cells.push_back(fitCell(m_study.plan(), id, samples, m_out.options.slope));
    }

    [[nodiscard]] const CellCalibration& of(ItemId cell) const {
        return *std::lower_bound(m_out.cells.begin(), m_out.cells.end(), cell,
                                 [](const CellCalibration& c, ItemId id) { return c.cell < id; });
    }
    [[nodiscard]] double changeOf(ItemId cell) const {
        const CellCalibration& c = of(cell);
        return c.offsetAfterDb - c.offsetBeforeDb;
    }

    void fitIndoor() {
        IndoorCalibration in;
        Chosen inside;
        std::vector<FitRow> rows;
        std::vector<double> y;
        for (Sample& s : m_samples) {
            if (!s.indoor || !of(s.cell).fitted) continue;
            inside.push_back(&s);
            rows.push_back({1, 0, 0});
            y.push_back(s.errorDb - changeOf(s.cell));
        }
        in.points = inside.size();
        in.squares = squaresIn(inside);
        const RobustFit fit = in.points >= kLeastPoints && in.squares >= kLeastSquares
                                  ? robustFit(rows, y, clustersOf(inside), 1, kLeastScaleDb)
                                  : RobustFit{};
        if (fit.ok) {
            in.fitted = true;
            in.excessDb = fit.value[0];
            in.errorDb = fit.error[0];
            in.efficientShare = shareFor(m_study, m_samples, in.excessDb);
        }
        m_out.indoor = in;
    }

    void summarise() {
        Chosen train, held;
        for (Sample& s : m_samples) {
            const double change = changeOf(s.cell);
            m_out.residuals.push_back(
                {s.point, s.cell, s.at, s.errorDb, s.errorDb - change, s.held, s.indoor, s.weight});
            if (s.indoor || !of(s.cell).fitted) continue;
            (s.held ? held : train).push_back(&s);
            if (!s.held) continue;
            count(m_out.histogramBefore, s.errorDb);
            count(m_out.histogramAfter, s.errorDb - change);
        }
        const auto both = [&](const Chosen& samples) {
            return BeforeAfter{
                figuresOf(samples, [](const Sample& s) { return s.errorDb; }),
                figuresOf(samples, [&](const Sample& s) { return s.errorDb - changeOf(s.cell); })};
        };
        m_out.fittedOn = both(train);
        m_out.heldOut = both(held);
    }
    [[nodiscard]] std::string verdict() const {
        if (m_out.matched < kLeastPoints || m_out.squares < kLeastSquares)
            return fmt::format(
                "{} matched points in {} street squares are too few; it takes {} in {}. Nothing "
                "is changed.",
                m_out.matched, m_out.squares, kLeastPoints, kLeastSquares);
        const auto n = std::count_if(m_out.cells.begin(), m_out.cells.end(),
                                     [](const CellCalibration& c) { return c.fitted; });
        if (n == 0)
            return fmt::format(
                "None of the {} measured cells can be calibrated: it takes {} matched points in {} "
                "street squares a cell. Nothing is changed.",
                m_out.cells.size(), kLeastPoints, kLeastSquares);
        std::string text = fmt::format("{} of {} measured cells get an offset", n, m_out.cells.size());
        if (m_out.heldOut.before.points == 0) return text + "; no square was held out to judge it by.";
        const double before = m_out.heldOut.before.rmseDb, after = m_out.heldOut.after.rmseDb;
        text += fmt::format("; on street squares held out the error goes from {:.1f} to {:.1f} dB.", before,
                            after);
        if (after >= before) text += " That is no gain; better leave the offsets as they are.";
        return text;
    }

    const Study& m_study;
    std::span<const MeasuredPoint> m_points;
    const Job& m_job;
    Samples m_samples;
    Calibration m_out;
};

} // namespace

ErrorHistograms histogramsOf(const Calibration& calibration, ItemId cell) {
    ErrorHistograms out;
    for (const PointResidual& r : calibration.residuals) {
        if (r.cell != cell || !r.heldOut || r.indoor) continue;
        count(out.before, r.beforeDb);
        count(out.after, r.afterDb);
    }
    return out;
}

StreetSquare squareOf(PlanePoint at) {
    return {static_cast<std::int64_t>(std::floor(at.x / kStreetSquareM)),
            static_cast<std::int64_t>(std::floor(at.y / kStreetSquareM))};
}

bool heldOut(StreetSquare square) {
    // The finaliser of SplitMix64 over both numbers: no pattern along streets.
    auto h = static_cast<std::uint64_t>(square.x) * 0x9e3779b97f4a7c15ull ^
             static_cast<std::uint64_t>(square.y) * 0xc2b2ae3d27d4eb4full;
    h = (h ^ (h >> 30)) * 0xbf58476d1ce4e5b9ull;
    h = (h ^ (h >> 27)) * 0x94d049bb133111ebull;
    return (h ^ (h >> 31)) % kHoldOutOneIn == 0;
}

Result<Calibration> calibrate(const Study& study, std::span<const MeasuredPoint> points,
                              const CalibrationOptions& options, const Job& job) {
    return Calibrator(study, points, options, job).run();
}

} // namespace fw
