// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   same-mount-spread: two radios of one mount with chosen cells look closer together than the spread.
//        On one carrier that warns; on different carriers it is a note (stacking layers can be meant).
// Why    their beams cover the same ground.
// Source common practice.  Waiver key: rule id + both radios ascending + variant.
#include "review/rules/every_rule.h"
#include "review/tuples.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

std::vector<SmallCellPart> chosenOn(const RuleView& view, ItemId radio) {
    std::vector<SmallCellPart> out;
    for (const ItemId id : view.near().smallsOfRadio(radio))
        if (const SmallCellPart* s = view.study().smallCell(id); s && s->chosen) out.push_back(*s);
    return out;
}

std::vector<Subjects> pairsOn(const RuleView& view, const std::vector<ItemId>& mounts) {
    std::vector<Subjects> out;
    for (const ItemId m : mounts) {
        const auto radios = view.near().radiosOfMount(m);
        for (std::size_t i = 0; i < radios.size(); ++i)
            for (std::size_t k = i + 1; k < radios.size(); ++k) out.push_back({radios[i], radios[k]});
    }
    return out;
}

std::vector<Subjects> all(const RuleView& view) { return pairsOn(view, view.near().mounts()); }
std::vector<Subjects> touched(const RuleView& view, const ReviewChange& change) {
    return pairsOn(view, change.mounts);
}

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const Radio a = view.radio(t[0]), b = view.radio(t[1]);
    const double spread = std::fabs(wrap180(a.azimuth.deg - b.azimuth.deg));
    const double need = view.limits()["same-mount-spread.spread"];
    if (spread >= need) return std::nullopt;
    const auto onA = chosenOn(view, t[0]), onB = chosenOn(view, t[1]);
    if (onA.empty() || onB.empty()) return std::nullopt;
    const bool shared = std::any_of(onA.begin(), onA.end(), [&](const SmallCellPart& x) {
        return std::any_of(onB.begin(), onB.end(),
                           [&](const SmallCellPart& y) { return sameCarrier(x.carrier, y.carrier); });
    });
    Finding f;
    f.severity = shared ? Severity::warn : Severity::note;
    f.measured = {spread, "deg"};
    f.limit = {need, "deg"};
    if (const MountPart* m = view.study().mount(a.mount)) f.where = m->at;
    f.text = fmt::format("{} and {} on mount {} look only {:.1f} deg apart, on {}.", view.name(t[0]),
                         view.name(t[1]), view.name(a.mount), spread,
                         shared ? "one carrier" : "different carriers");
    f.source = view.limits().origin("same-mount-spread.spread");
    return f;
}

} // namespace

Rule sameMountSpread() {
    Rule r;
    r.id = "same-mount-spread";
    r.title = "Radios of one mount too close in azimuth";
    r.why = "Their beams cover the same ground.";
    r.turnable = true;
    r.blocks = false;
    r.slack = {{2, "deg"}};
    r.all = all;
    r.touched = touched;
    r.check = check;
    return r;
}

} // namespace fw
