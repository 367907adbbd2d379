// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/remedy.h"

#include "study/fit.h"

#include <fmt/format.h>

#include <algorithm>
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
        if (!r.turnable) continue;
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
    double byDeg = 0; ///< absolute
    Remedy remedy;
};

// A panel on a wall looks away from it, whatever else.
bool bracketTurns(const RuleView& view, const Radio& radio, double azimuth) {
    const Mount* m = view.plan().mounts.find(radio.mount);
    return !m || !m->faces || std::fabs(wrap180(azimuth - m->faces->deg)) <= 90;
}

Turn turnTo(const RuleView& there, const Radio& turned, double byDeg) {
    Turn t{byDeg, {}};
    t.remedy.azimuthTrueDeg = turned.azimuth.deg;
    t.remedy.fitLeft = lowestFit(there.numbers(), there.near().smallsOfRadio(turned.id));
    t.remedy.text = fmt::format("Turn {} to {:.0f} deg true{}", there.name(turned.id), turned.azimuth.deg,
                                fitPhrase(t.remedy.fitLeft));
    return t;
}

std::optional<Turn> nearestTurn(const RuleView& view, const Rule& rule, const Finding& finding,
                                const Radio& radio) {
    const auto looked = lookedAt(view, rule, radio);
    const double whole = std::round(radio.azimuth.deg);
    const double first = radio.azimuth.deg < whole ? -1 : 1; // the nearer side first
    std::optional<std::pair<Radio, double>> toNotes;
    for (int k = 0; k <= 360; ++k) {
        const int step = (k + 1) / 2; // 0, 1, 1, 2, 2, ... whole degrees to either side in turn
        const double azimuth = wrap360(whole + (k % 2 ? first : -first) * step);
        const double by = std::fabs(wrap180(azimuth - radio.azimuth.deg));
        if (by == 0 || !bracketTurns(view, radio, azimuth)) continue;
        Radio turned = radio;
        turned.azimuth = TrueAzimuth{azimuth};
        const RuleView there = view.with(turned);
        const Clears c = clears(there, looked);
        if (c == Clears::yes) return turnTo(there, turned, by);
        if (c == Clears::toNotes && !toNotes) toNotes.emplace(turned, by);
    }
    if (!toNotes || finding.severity == Severity::note) return std::nullopt;
    return turnTo(view.with(toNotes->first), toNotes->first, toNotes->second);
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
    for (const Radio& r : radiosOf(view, finding)) {
        auto t = nearestTurn(view, rule, finding, r);
        if (t && (!best || t->byDeg < best->byDeg)) best = std::move(t);
    }
    if (best) return best->remedy;
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
