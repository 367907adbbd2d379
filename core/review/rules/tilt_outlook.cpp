// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   tilt-outlook: too much of the floor area that the beam looks at lies above its upper half-power
// edge. Why    most demand is indoors; the storeys missed are served by nobody new. Source own judgement.
// Waiver key: rule id + radio + variant.
#include "review/remedy.h"
#include "review/rules/every_rule.h"
#include "review/tuples.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

std::optional<double> missedPercent(const Study& study, ItemId small) {
    const Outlook o = study.outlook(small);
    if (o.floorM2 <= 0) return std::nullopt;
    return 100 * o.floorMissedM2 / o.floorM2;
}

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const ItemId small = speakerOf(view, t[0]);
    const SmallCellPart cell = view.cell(small);
    const MountPart* mount = view.study().mount(cell.mount);
    if (!mount) return std::nullopt;
    const auto missed = missedPercent(view.numbers(), small);
    const double limit = view.limits()["tilt-outlook.missed"];
    if (!missed || *missed <= limit) return std::nullopt;
    Finding f;
    f.severity = Severity::warn;
    f.measured = {*missed, "%"};
    f.limit = {limit, "%"};
    f.where = mount->at;
    f.text =
        fmt::format("Tilted {:.0f} deg, {} misses {:.0f} % of the floor area in its beam: it lies above the "
                    "upper half-power edge.",
                    cell.tiltDeg, view.name(t[0]), *missed);
    f.source = view.limits().origin("tilt-outlook.missed");
    return f;
}

// Of the bracket's tilts the nearest that clears it.
std::optional<Remedy> remedy(const RuleView& view, const Finding& finding) {
    const Radio radio = view.radio(finding.subjects[0]);
    const Mount* m = view.plan().mounts.find(radio.mount);
    if (!m) return std::nullopt;
    std::vector<double> tilts = m->tiltsDeg;
    std::sort(tilts.begin(), tilts.end());
    std::stable_sort(tilts.begin(), tilts.end(), [&](double a, double b) {
        return std::fabs(a - radio.tiltDeg) < std::fabs(b - radio.tiltDeg);
    });
    for (const double tilt : tilts) {
        Radio tilted = radio;
        tilted.tiltDeg = tilt;
        const RuleView there = view.with(tilted);
        if (check(there, finding.subjects)) continue;
        Remedy r;
        r.radio = radio.id;
        r.tiltDeg = tilt;
        r.fitLeft = lowestFit(there.numbers(), view.near().smallsOfRadio(radio.id));
        r.text = fmt::format("Tilt to {:.1f} deg{}", tilt, fitPhrase(r.fitLeft));
        return r;
    }
    return Remedy{"No tilt of this bracket clears it: choose a higher mount or another bracket.", {}, {}, {}};
}

} // namespace

Rule tiltOutlook() {
    Rule r;
    r.id = "tilt-outlook";
    r.title = "Tilt misses floors";
    r.why = "Most demand is indoors; the storeys above the beam are served by nobody new.";
    r.blocks = false;
    r.slack = {{3, "%"}};
    r.all = everyRadio;
    r.touched = touchedRadios;
    r.check = check;
    r.remedy = remedy;
    return r;
}

} // namespace fw
