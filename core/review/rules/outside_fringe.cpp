// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   outside-fringe: too little of what a chosen small cell takes lies in fringes or congestion areas.
// Why    load near a macro is cheap to carry there; the fringe is dear.
// Source own judgement.  Waiver key: rule id + small cell + variant.
#include "review/rules/every_rule.h"
#include "review/tuples.h"

#include <fmt/format.h>

namespace fw {

namespace {

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const SmallCellPart cell = view.cell(t[0]);
    const MountPart* mount = view.study().mount(cell.mount);
    if (!mount || !cell.chosen) return std::nullopt;
    const double relief = view.numbers().reliefPoints(t[0]);
    if (relief <= 0) return std::nullopt; // nothing to have a share of; sparse-outlook speaks then
    const double share = 100 * view.numbers().fringeShare(t[0]);
    const double need = view.limits()["outside-fringe.share"];
    if (share >= need) return std::nullopt;
    Finding f;
    f.severity = Severity::warn;
    f.measured = {share, "%"};
    f.limit = {need, "%"};
    f.where = mount->at;
    f.text =
        fmt::format("Only {:.0f} % of the {:.1f} points that {} relieves lie in fringes or congestion areas.",
                    share, relief, view.name(t[0]));
    f.source = view.limits().origin("outside-fringe.share");
    return f;
}

} // namespace

Rule outsideFringe() {
    Rule r;
    r.id = "outside-fringe";
    r.title = "Relief outside the fringe";
    r.why = "Load near a macro is cheap to carry there; the fringe is dear.";
    r.turnable = true;
    r.heavy = true;
    r.blocks = false;
    r.slack = {{2, "%"}};
    r.all = everySmall;
    r.touched = touchedOrRelieved;
    r.check = check;
    return r;
}

} // namespace fw
