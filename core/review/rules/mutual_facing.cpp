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

// Beside pairs of the changed cells: pairs whose contested share a changed cell may alter, which is any that
// it shares ground with.
std::vector<Subjects> touched(const RuleView& view, const ReviewChange& change) {
    std::vector<Subjects> out = pairsOf(view, change.smalls, reachM(view));
    const double shared = 2.02 * view.plan().settings->model.smallReachM + reachM(view);
    std::vector<ItemId> around;
    std::vector<std::uint32_t> hits;
    for (const PlanePoint p : change.places) {
        view.near().smallsNear(p, shared, hits);
        for (const std::uint32_t h : hits) around.push_back(view.study().smallCells()[h].id);
    }
    const double block = view.limits()["mutual-facing.block-within"];
    forEachPair(view, around, reachM(view), [&](const SmallCellPart& a, const SmallCellPart& b) {
        Subjects t{std::min(a.id, b.id), std::max(a.id, b.id)};
        const auto p = faced(view, t);
        if (p && p->distanceM > block) out.push_back(std::move(t));
    });
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
    return out;
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
