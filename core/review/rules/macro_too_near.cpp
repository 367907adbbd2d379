// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   macro-too-near: a macro is strong at the foot of the mount and the small cell relieves little. Both:
//        a strong macro whose load moves over all the same is no fault.
// Level  of the cell's own carrier where a macro sends on it, else of the strongest macro of any carrier.
// Relief of a cell that is not chosen is bounded by the load it overlooks; that one, which no other small
// cell
//        alters, stands in for it.
// Why    the small cell competes with a macro that is there already.
// Source own judgement.  Waiver key: rule id + small cell + variant.
#include "review/rules/every_rule.h"
#include "review/tuples.h"

#include <fmt/format.h>

namespace fw {

namespace {

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const SmallCellPart cell = view.cell(t[0]);
    const MountPart* mount = view.study().mount(cell.mount);
    if (!mount) return std::nullopt;
    const auto macro =
        cell.layer >= 0 ? view.study().macroAt(cell.layer, mount->at) : view.study().macroAt(mount->at);
    if (!macro) return std::nullopt;
    const double warn = view.limits()["macro-too-near.warn"], block = view.limits()["macro-too-near.block"];
    if (macro->levelDbm < warn && macro->levelDbm < block) return std::nullopt;
    const double relief =
        cell.chosen ? view.numbers().reliefPoints(t[0]) : view.numbers().outlook(t[0]).costPoints;
    const double need = view.limits()["macro-too-near.relief"];
    if (relief >= need) return std::nullopt;

    const bool blocks = macro->levelDbm >= block;
    Finding f;
    f.severity = blocks ? Severity::block : Severity::warn;
    f.measured = {macro->levelDbm, "dBm"};
    f.limit = {blocks ? block : warn, "dBm"};
    f.where = mount->at;
    f.text = fmt::format("At the foot of {} {} arrives with {:.1f} dBm, and the small cell {} {:.1f} points, "
                         "under {:.1f}.",
                         view.name(t[0]), view.called("cell", macro->cell), macro->levelDbm,
                         cell.chosen ? "relieves" : "overlooks", relief, need);
    f.source = view.limits().origin(blocks ? "macro-too-near.block" : "macro-too-near.warn");
    return f;
}

std::optional<Remedy> remedy(const RuleView&, const Finding&) {
    return Remedy{"Choose a mount farther from the macro, or a carrier of its own.", {}, {}, {}};
}

} // namespace

Rule macroTooNear() {
    Rule r;
    r.id = "macro-too-near";
    r.title = "Too near a macro";
    r.why = "The small cell competes with a macro that is strong there already.";
    r.slack = {{1, "dBm"}};
    r.all = everySmall;
    r.touched = touchedOrRelieved;
    r.check = check;
    r.remedy = remedy;
    return r;
}

} // namespace fw
