// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   one-way-facing: of two chosen small cells of one carrier on two mounts, near and in sight, exactly
// one
//        stands within half of the other's beamwidth.
// Why    the one that looks spills into the back of the other's area.
// Source own judgement.  Waiver key: rule id + both small cells ascending + variant.
#include "review/rules/every_rule.h"
#include "review/tuples.h"

#include <fmt/format.h>

namespace fw {

namespace {

std::vector<Subjects> all(const RuleView& view) {
    return everyPair(view, view.limits()["one-way-facing.warn-within"]);
}
std::vector<Subjects> touched(const RuleView& view, const ReviewChange& change) {
    return pairsOf(view, change.smalls, view.limits()["one-way-facing.warn-within"]);
}

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const auto p = facingPair(view, t, view.limits()["one-way-facing.margin"]);
    const double within = view.limits()["one-way-facing.warn-within"];
    if (!p || p->aSeesB == p->bSeesA || p->distanceM > within) return std::nullopt;
    if (!view.study().sightToSmall(t[0], t[1]).clear) return std::nullopt;
    Finding f;
    f.severity = Severity::warn;
    f.measured = {p->distanceM, "m"};
    f.limit = {within, "m"};
    f.where = (p->atA + p->atB) * 0.5;
    f.text =
        fmt::format("{} looks at {} over {:.0f} m, in sight and on one carrier.",
                    view.name(p->aSeesB ? t[0] : t[1]), view.name(p->aSeesB ? t[1] : t[0]), p->distanceM);
    f.source = view.limits().origin("one-way-facing.warn-within");
    return f;
}

} // namespace

Rule oneWayFacing() {
    Rule r;
    r.id = "one-way-facing";
    r.title = "Looks at a neighbour";
    r.why = "The cell that looks spills into the back of the other's area.";
    r.turnable = true;
    r.blocks = false;
    r.slack = {{3, "m"}};
    r.all = all;
    r.touched = touched;
    r.check = check;
    return r;
}

} // namespace fw
