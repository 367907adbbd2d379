// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   height-window: the radiation centre stands within a window above the ground ahead.
// Why    lower is in reach of people and vans' shadows; higher loses the street and spills into neighbours.
// Source common practice.  Waiver key: rule id + mount + variant.
#include "review/remedy.h"
#include "review/rules/every_rule.h"
#include "review/tuples.h"

#include <fmt/format.h>

namespace fw {

namespace {

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const Mount* m = view.plan().mounts.find(t[0]);
    if (!m) return std::nullopt;
    const double low = view.limits()["height-window.lowest"], high = view.limits()["height-window.highest"];
    const double h = m->height.m;
    if (h >= low && h <= high) return std::nullopt;
    Finding f;
    f.severity = Severity::warn;
    f.measured = {h, "m"};
    f.limit = {h < low ? low : high, "m"};
    f.where = m->at;
    f.text =
        fmt::format("The antenna on {} stands {:.1f} m above the ground, {} the window of {:.1f} to {:.1f} "
                    "m.",
                    view.name(t[0]), h, h < low ? "under" : "over", low, high);
    f.source = view.limits().origin("height-window.lowest");
    return f;
}

std::optional<Remedy> remedy(const RuleView& view, const Finding& finding) {
    const Mount* m = view.plan().mounts.find(finding.subjects[0]);
    if (!m) return std::nullopt;
    Hypothesis what;
    what.mount = *m;
    what.mount->height = HeightAgl{finding.limit.value};
    Remedy r;
    r.fitLeft = lowestFit(*view.study().overlay(what), view.near().smallsOfMount(m->id));
    r.text = fmt::format("Set the antenna at {:.1f} m{}", finding.limit.value, fitPhrase(r.fitLeft));
    return r;
}

} // namespace

Rule heightWindow() {
    Rule r;
    r.id = "height-window";
    r.title = "Height above ground";
    r.why = "Lower is shadowed by people and vans; higher loses the street and spills into neighbours.";
    r.blocks = false;
    r.slack = {{0.2, "m"}};
    r.all = everyMount;
    r.touched = touchedMounts;
    r.check = check;
    r.remedy = remedy;
    return r;
}

} // namespace fw
