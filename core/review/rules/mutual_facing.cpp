// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   mutual-facing: two chosen small cells of one carrier on two mounts, each within half of the other's
//        beamwidth, in sight. Near blocks; farther warns when much of what either takes lies where the other
//        is within 6 dB.
// Why    each serves the other's ground and raises its interference; the same demand is paid for twice.
// Source common practice for the geometry; distances own judgement.
// Waiver key: rule id + both small cells ascending + variant.
#include "review/rules/every_rule.h"
#include "review/tuples.h"

#include <fmt/format.h>

#include <algorithm>

namespace fw {

namespace {

double reachM(const RuleView& view) {
    return std::max(view.limits()["mutual-facing.block-within"], view.limits()["mutual-facing.warn-within"]);
}

std::optional<FacingPair> faced(const RuleView& view, const Subjects& t) {
    auto p = facingPair(view, t, view.limits()["mutual-facing.margin"]);
    if (!p || !p->aSeesB || !p->bSeesA || p->distanceM > reachM(view)) return std::nullopt;
    return p;
}

std::vector<Subjects> all(const RuleView& view) { return everyPair(view, reachM(view)); }

// What either takes where the other is within 6 dB is a matter of these two and the macros: a third small
// cell alters nothing.
std::vector<Subjects> touched(const RuleView& view, const ReviewChange& change) {
    return pairsOf(view, change.smalls, reachM(view));
}

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const auto p = faced(view, t);
    if (!p || !view.study().sightToSmall(t[0], t[1]).clear) return std::nullopt;
    const double block = view.limits()["mutual-facing.block-within"];
    const double warn = view.limits()["mutual-facing.warn-within"];
    const bool blocks = p->distanceM <= block;
    std::string shared;
    if (!blocks) {
        const Study& n = view.numbers();
        const double worst = 100 * std::max(n.contestedShare(t[0], t[1]), n.contestedShare(t[1], t[0]));
        if (worst <= view.limits()["mutual-facing.contested"]) return std::nullopt;
        shared = fmt::format("; {:.0f} % of what one of them takes lies within 6 dB of the other", worst);
    }
    Finding f;
    f.severity = blocks ? Severity::block : Severity::warn;
    f.measured = {p->distanceM, "m"};
    f.limit = {blocks ? block : warn, "m"};
    f.where = (p->atA + p->atB) * 0.5;
    f.text = fmt::format("{} and {} look at each other over {:.0f} m, in sight and on one carrier{}.",
                         view.name(t[0]), view.name(t[1]), p->distanceM, shared);
    f.source = "common practice; distances own judgement";
    return f;
}

} // namespace

Rule mutualFacing() {
    Rule r;
    r.id = "mutual-facing";
    r.title = "Facing each other";
    r.why = "Each serves the other's ground and raises its interference; the same demand is paid for twice.";
    r.turnable = true;
    r.slack = {{3, "m"}};
    r.all = all;
    r.touched = touched;
    r.check = check;
    return r;
}

} // namespace fw
