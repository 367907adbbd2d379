// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   sparse-outlook: little dear load lies in the beam and in sight.
// Why    a small cell that looks at empty ground relieves nobody.
// Source own judgement.  Waiver key: rule id + small cell + variant.
#include "review/rules/every_rule.h"
#include "review/tuples.h"

#include <fmt/format.h>

#include <algorithm>

namespace fw {

namespace {

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const SmallCellPart cell = view.cell(t[0]);
    const MountPart* mount = view.study().mount(cell.mount);
    if (!mount) return std::nullopt;
    const double cost = view.numbers().outlook(t[0]).costPoints;
    const double need = view.limits()["sparse-outlook.cost"];
    if (cost >= need) return std::nullopt;
    Finding f;
    f.severity = Severity::warn;
    f.measured = {cost, "points"};
    f.limit = {need, "points"};
    f.where = mount->at;
    f.text = fmt::format("{} overlooks only {:.1f} points of macro load in its beam and in sight; {:.1f} are "
                         "wanted.",
                         view.name(t[0]), cost, need);
    f.source = view.limits().origin("sparse-outlook.cost");
    return f;
}

// A beam wide enough to hold all beams of the window overlooks at least as much as any of them.
bool hopeless(const RuleView& view, const Radio& radio, double azimuthDeg, double halfDeg) {
    constexpr double kRoomDeg = 1; // the study counts in tenths of a degree
    const double need = view.limits()["sparse-outlook.cost"];
    const auto smalls = view.near().smallsOfRadio(radio.id);
    return std::any_of(smalls.begin(), smalls.end(), [&](ItemId small) {
        Radio wide = radio;
        wide.antenna = {};
        wide.azimuth = TrueAzimuth::of(azimuthDeg);
        wide.hBeamDeg = std::min(360.0, view.cell(small).hBeamDeg + 2 * halfDeg + kRoomDeg);
        return view.with(wide).numbers().outlook(small).costPoints < need;
    });
}

} // namespace

Rule sparseOutlook() {
    Rule r;
    r.id = "sparse-outlook";
    r.title = "Looks at little load";
    r.why = "A small cell that looks at empty ground relieves nobody.";
    r.turnable = true;
    r.heavy = true;
    r.blocks = false;
    r.slack = {{0.5, "points"}};
    r.all = everySmall;
    r.touched = touchedSmalls;
    r.check = check;
    r.hopeless = hopeless;
    return r;
}

} // namespace fw
