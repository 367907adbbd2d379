// SPDX-License-Identifier: GPL-3.0-or-later
#include "acceptance/after_load.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <map>

namespace fw {

namespace {

constexpr double kTargetRelief = 0.01, kUntouched = 0.002;
constexpr std::size_t kLeastControls = 5;
constexpr double kMadToSigma = 1.482602218505602; // 1 / Phi^-1(3/4)
constexpr double kMedianError = 1.2533141373155;  // of a median, in sigma / sqrt(n): sqrt(pi / 2)
constexpr double kClearly = 2;                    // standard errors
constexpr double kUnlikeUse = 0.2;                // of controls and targets, at which shares and points part

using ByDay = std::map<std::int32_t, double>;

ByDay byDay(std::span<const DayUse> days) {
    ByDay out;
    for (const DayUse& d : days)
        if (std::isfinite(d.use)) out[d.day] = d.use;
    return out;
}

// 0 = Monday; 1970-01-01 was a Thursday.
std::size_t weekdayOf(std::int32_t day) { return static_cast<std::size_t>(((day + 3) % 7 + 7) % 7); }

struct Mean {
    double sum = 0;
    std::size_t n = 0;
    [[nodiscard]] double value() const { return sum / static_cast<double>(n); }
};
std::array<Mean, 7> byWeekday(std::span<const DayUse> days) {
    std::array<Mean, 7> out;
    for (const auto& [day, use] : byDay(days)) {
        Mean& m = out[weekdayOf(day)];
        m.sum += use;
        ++m.n;
    }
    return out;
}

double median(std::vector<double> v) {
    std::sort(v.begin(), v.end());
    return (v[(v.size() - 1) / 2] + v[v.size() / 2]) / 2;
}

AcceptanceState stateFor(std::size_t days) {
    return days >= 28  ? AcceptanceState::weeks4
           : days >= 3 ? AcceptanceState::hours72
           : days >= 1 ? AcceptanceState::hours24
                       : AcceptanceState::tooEarly;
}

double points(double share) { return share * 100; }

struct Measured {
    const LedgerLine* line;
    const CellDays* days;
    std::optional<MatchedChange> change;
};

class Comparison {
public:
    Comparison(const Plan& plan, const Ledger& ledger, std::span<const CellDays> days) : m_plan(plan) {
        std::map<ItemId, const CellDays*> byCell;
        for (const CellDays& d : days) byCell[d.cell] = &d;
        for (const LedgerLine& line : ledger.cells) {
            double taken = 0;
            for (const LedgerLine::Part& p : line.relief) taken += p.use;
            const auto it = byCell.find(line.cell);
            const CellDays* measured = it == byCell.end() ? nullptr : it->second;
            Measured m{&line, measured, {}};
            if (measured) m.change = matchedChange(measured->before, measured->after);
            if (line.before - line.after >= kTargetRelief)
                m_targets.push_back(m);
            else if (std::fabs(taken) < kUntouched && std::fabs(line.harm) < kUntouched && m.change)
                m_controls.push_back(m);
        }
    }

    Acceptance run() {
        control();
        countDays();
        for (const Measured& m : m_targets) m_out.targets.push_back(outcomeOf(m));
        ratio();
        m_out.text = summary();
        remarks();
        return std::move(m_out);
    }

private:
    [[nodiscard]] bool enoughControls() const { return m_controls.size() >= kLeastControls; }

    void control() {
        std::vector<double> changes;
        for (const Measured& m : m_controls) {
            m_out.controls.push_back(m.line->cell);
            changes.push_back(m.change->change());
        }
        if (changes.empty()) return;
        m_out.controlChange = median(changes);
        for (double& c : changes) c = std::fabs(c - m_out.controlChange);
        m_out.controlSpread = kMadToSigma * median(std::move(changes));
    }
    void countDays() {
        std::optional<std::size_t> least;
        for (const Measured& m : m_targets)
            if (m.change) least = std::min(least.value_or(m.change->daysAfter), m.change->daysAfter);
        m_out.days = least.value_or(0);
        m_out.state = stateFor(m_out.days);
    }
    // An untouched cell scatters by the spread; the median of n of them by the share of it below.
    [[nodiscard]] double errorOfOne() const { return m_out.controlSpread; }
    [[nodiscard]] double errorOfMedian() const {
        return kMedianError * m_out.controlSpread / std::sqrt(static_cast<double>(m_controls.size()));
    }

    [[nodiscard]] TargetOutcome outcomeOf(const Measured& m) const {
        TargetOutcome t;
        t.cell = m.line->cell;
        t.predicted = m.line->before - m.line->after;
        t.measured = m.change;
        const std::string name = m_plan.label(t.cell);
        if (!m.change || !enoughControls()) {
            t.text =
                m.change
                    ? fmt::format("{}: too few untouched cells were measured to compare with.", name)
                    : fmt::format("{}: it was not measured on the same weekdays before and after.", name);
            return t;
        }
        t.relief = m_out.controlChange - m.change->change();
        t.errorRelief = std::hypot(errorOfOne(), errorOfMedian());
        t.verdict = verdictOf(t);
        t.text = fmt::format("{}: relieved by {:.1f} points, give or take {:.1f}; predicted were {:.1f}: {}.",
                             name, points(t.relief), points(t.errorRelief), points(t.predicted),
                             wordsOf(t.verdict));
        return t;
    }
    static AcceptanceVerdict verdictOf(const TargetOutcome& t) {
        if (t.relief < kClearly * t.errorRelief) return AcceptanceVerdict::nothingSeen;
        if (t.relief < t.predicted - kClearly * t.errorRelief) return AcceptanceVerdict::less;
        if (t.relief > t.predicted + kClearly * t.errorRelief) return AcceptanceVerdict::more;
        return AcceptanceVerdict::asPredicted;
    }
    static const char* wordsOf(AcceptanceVerdict v) {
        switch (v) {
        case AcceptanceVerdict::unknown:
            break;
        case AcceptanceVerdict::nothingSeen:
            return "no relief can be told from chance";
        case AcceptanceVerdict::less:
            return "less than predicted";
        case AcceptanceVerdict::asPredicted:
            return "as predicted";
        case AcceptanceVerdict::more:
            return "more than predicted";
        }
        return "not known";
    }

    void ratio() {
        double measured = 0, predicted = 0;
        std::size_t n = 0;
        for (const TargetOutcome& t : m_out.targets) {
            if (t.verdict == AcceptanceVerdict::unknown) continue;
            measured += t.relief;
            predicted += t.predicted;
            ++n;
        }
        if (n == 0) return;
        m_out.ratio = measured / predicted;
        // Targets scatter each for itself, the controls' median errs for all of them alike.
        const double own = errorOfOne() * std::sqrt(static_cast<double>(n)),
                     common = errorOfMedian() * static_cast<double>(n);
        m_out.errorRatio = std::hypot(own, common) / predicted;
    }

    [[nodiscard]] std::string summary() const {
        if (m_targets.empty())
            return "The ledger takes no point off any cell: choose the small cells that were built.";
        if (m_out.state == AcceptanceState::tooEarly)
            return "There is no day yet on which a relieved cell was measured before and after on the same "
                   "weekday.";
        if (!enoughControls())
            return fmt::format(
                "{} untouched cells were measured; it takes {} to tell relief from the change of "
                "traffic.",
                m_controls.size(), kLeastControls);
        std::string text = fmt::format("After {}: {:.0f} % of the predicted relief, give or take {:.0f}.",
                                       wordFor(m_out.state), *m_out.ratio * 100, m_out.errorRatio * 100);
        if (m_out.state == AcceptanceState::hours24)
            text += " One day only tells whether load is taken at all.";
        if (m_out.state == AcceptanceState::hours72)
            text += " Users have yet to come back; look again after "
                    "four weeks.";
        return text;
    }
    void remarks() {
        if (!m_out.ratio) return;
        std::vector<double> own, others, shares;
        for (const Measured& m : m_targets)
            if (m.change) own.push_back(m.change->before);
        for (const Measured& m : m_controls) {
            others.push_back(m.change->before);
            if (m.change->before > 0) shares.push_back(m.change->change() / m.change->before);
        }
        if (std::fabs(median(own) - median(others)) < kUnlikeUse || shares.empty()) return;
        m_out.remarks.push_back(fmt::format(
            "Untouched cells were at {:.0f} % before, relieved ones at {:.0f} %: by the share instead of by "
            "points, relieved cells would have changed by {:+.1f} points, not {:+.1f}.",
            points(median(others)), points(median(own)), points(median(shares) * median(own)),
            points(m_out.controlChange)));
    }

    const Plan& m_plan;
    std::vector<Measured> m_targets, m_controls;
    Acceptance m_out;
};

} // namespace

const char* wordFor(AcceptanceState state) {
    switch (state) {
    case AcceptanceState::tooEarly:
        return "too early";
    case AcceptanceState::hours24:
        return "24 h";
    case AcceptanceState::hours72:
        return "72 h";
    case AcceptanceState::weeks4:
        return "4 weeks";
    }
    return "";
}

std::optional<MatchedChange> matchedChange(std::span<const DayUse> before, std::span<const DayUse> after) {
    const auto was = byWeekday(before), is = byWeekday(after);
    MatchedChange out;
    std::size_t weekdays = 0;
    for (std::size_t w = 0; w < 7; ++w) {
        if (was[w].n == 0 || is[w].n == 0) continue;
        ++weekdays;
        out.daysBefore += was[w].n;
        out.daysAfter += is[w].n;
        out.before += was[w].value();
        out.after += is[w].value();
    }
    if (weekdays == 0) return {};
    out.before /= static_cast<double>(weekdays);
    out.after /= static_cast<double>(weekdays);
    return out;
}

Acceptance compareAfterLoad(const Plan& plan, const Ledger& ledger, std::span<const CellDays> days) {
    return Comparison(plan, ledger, days).run();
}

} // namespace fw
