// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/remedy.h"

#include "base/text.h"

#include "plan/bracket.h"
#include "study/fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace fw {

namespace {

// One tuple that a turn of the radio may alter, with the rule that looks at it.
struct Looked {
    const Rule* rule;
    Subjects tuple;
    bool own = false;     ///< of the finding's rule: must find nothing
    bool blocked = false; ///< blocks already, so it may go on to
};

std::vector<Looked> lookedAt(const RuleView& view, const Rule& rule, const Radio& radio) {
    ReviewChange turn;
    turn.smalls = view.near().smallsOfRadio(radio.id);
    turn.radios = {radio.id};
    turn.mounts = {radio.mount};
    const auto turns = [&](ItemId id) {
        return id == radio.id || std::binary_search(turn.smalls.begin(), turn.smalls.end(), id);
    };
    std::vector<Looked> out;
    for (const Rule& r : rules()) {
        if (!r.turnable || (!r.blocks && r.id != rule.id)) continue;
        for (Subjects& t : r.touched(view, turn)) {
            if (std::none_of(t.begin(), t.end(), turns)) continue;
            const auto f = r.check(view, t);
            out.push_back({&r, std::move(t), r.id == rule.id, f && f->severity == Severity::block});
        }
    }
    // Geometry first: most azimuths fall there, and it costs no overlay.
    std::stable_sort(out.begin(), out.end(), [](const Looked& a, const Looked& b) {
        return std::pair{a.rule->heavy, !a.own} < std::pair{b.rule->heavy, !b.own};
    });
    return out;
}

enum class Clears { no, toNotes, yes };

// Whether an azimuth clears the rule: wholly, or but for notes.
Clears clears(const RuleView& there, const std::vector<Looked>& looked) {
    Clears out = Clears::yes;
    for (const Looked& l : looked) {
        if (l.blocked && !l.own) continue;
        const auto f = l.rule->check(there, l.tuple);
        if (!f || (!l.own && f->severity != Severity::block)) continue;
        if (f->severity != Severity::note) return Clears::no;
        out = Clears::toNotes;
    }
    return out;
}

struct Turn {
    Clears how = Clears::no;
    double byDeg = 0; ///< absolute
    Radio radio;      ///< turned
};

// A panel on a wall looks away from it, whatever else.
bool bracketTurns(const RuleView& view, const Radio& radio, double azimuth) {
    const Mount* m = view.plan().mounts.find(radio.mount);
    return !m || bracketTurns(*m, TrueAzimuth{azimuth});
}

// Which azimuths a rule rules out by the window, so that they need not be tried one by one.
class Windows {
public:
    Windows(const RuleView& view, const Rule& rule, const Radio& radio)
        : m_view(view), m_rule(rule), m_radio(radio) {}
    bool closed(double azimuth) {
        if (!m_rule.hopeless) return false;
        if (!m_whole) m_whole = m_rule.hopeless(m_view, m_radio, 0, 180);
        if (*m_whole) return true;
        auto& w = m_window[static_cast<std::size_t>(azimuth / kWidthDeg)];
        if (!w) {
            const double from = std::floor(azimuth / kWidthDeg) * kWidthDeg;
            w = m_rule.hopeless(m_view, m_radio, from + kWidthDeg / 2, kWidthDeg / 2);
        }
        return *w;
    }

private:
    static constexpr double kWidthDeg = 15;
    const RuleView& m_view;
    const Rule& m_rule;
    const Radio& m_radio;
    std::optional<bool> m_whole;
    std::array<std::optional<bool>, 24> m_window;
};

std::optional<Turn> nearestTurn(const RuleView& view, const Rule& rule, const Finding& finding,
                                const Radio& radio) {
    const auto looked = lookedAt(view, rule, radio);
    Windows windows(view, rule, radio);
    const double whole = std::round(radio.azimuth.deg);
    const double first = radio.azimuth.deg < whole ? -1 : 1; // the nearer side first
    std::optional<Turn> toNotes;
    for (int k = 0; k <= 360; ++k) {
        const int step = (k + 1) / 2; // 0, 1, 1, 2, 2, ... whole degrees to either side in turn
        const double azimuth = wrap360(whole + (k % 2 ? first : -first) * step);
        const double by = std::fabs(wrap180(azimuth - radio.azimuth.deg));
        if (by == 0 || !bracketTurns(view, radio, azimuth) || windows.closed(azimuth)) continue;
        Turn turn{Clears::no, by, radio};
        turn.radio.azimuth = TrueAzimuth{azimuth};
        turn.how = clears(view.with(turn.radio), looked);
        if (turn.how == Clears::yes) return turn;
        if (turn.how == Clears::toNotes && !toNotes) toNotes = turn;
    }
    if (finding.severity == Severity::note) return std::nullopt;
    return toNotes;
}

Remedy remedyOf(const RuleView& view, const Turn& turn) {
    const RuleView there = view.with(turn.radio);
    Remedy r;
    r.radio = turn.radio.id;
    r.azimuthTrueDeg = turn.radio.azimuth.deg;
    r.fitLeft = lowestFit(there.numbers(), view.near().smallsOfRadio(turn.radio.id));
    r.text = fmt::format("Turn {} to {:.0f} deg true{}", view.name(turn.radio.id), turn.radio.azimuth.deg,
                         fitPhrase(r.fitLeft));
    return r;
}

std::vector<Radio> radiosOf(const RuleView& view, const Finding& finding) {
    std::vector<Radio> out;
    for (const ItemId id : finding.subjects) {
        const SmallCellPart* s = view.study().smallCell(id);
        const Radio* r = view.plan().radios.find(s ? s->radio : id);
        if (r) out.push_back(*r);
    }
    return out;
}

} // namespace

std::optional<Remedy> remedyFor(const RuleView& view, const Rule& rule, const Finding& finding) {
    if (!rule.turnable) return rule.remedy ? rule.remedy(view, finding) : std::nullopt;
    std::optional<Turn> best;
    bool locked = false;
    for (const Radio& r : radiosOf(view, finding)) {
        if (r.aimLocked) {
            locked = true;
            continue;
        }
        const auto t = nearestTurn(view, rule, finding, r);
        if (t && (!best || std::pair{best->how, t->byDeg} < std::pair{t->how, best->byDeg})) best = t;
    }
    if (best) return remedyOf(view, *best);
    if (locked)
        return Remedy{CORE_TEXT("Its aim is locked: unlock it, or choose another mount."), {}, {}, {}};
    return Remedy{"No azimuth here clears it: choose another mount.", {}, {}, {}};
}

std::optional<double> lowestFit(const Study& study, const std::vector<ItemId>& smalls) {
    std::optional<double> lowest;
    for (const ItemId id : smalls) {
        const double fit = fitOf(study, id).value;
        if (!lowest || fit < *lowest) lowest = fit;
    }
    return lowest;
}

std::string fitPhrase(std::optional<double> fitLeft) {
    return fitLeft ? fmt::format("; fit {:.0f} left.", *fitLeft) : ".";
}

} // namespace fw
