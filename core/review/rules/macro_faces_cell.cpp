// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   macro-faces-cell: at street height in front of the radio the strongest macro of its carrier is as
//        strong as the small cell itself, or stronger.
// Why    what the small cell should serve first already hears the macro better.
// Place  50 m along the boresight; where a building stands there, the farthest place before it, in steps of
// the
//        load's pixel.
// Source own judgement.  Waiver key: rule id + small cell + variant (the strongest macro may change).
#include "review/rules/every_rule.h"
#include "review/tuples.h"

#include "base/log_exp.h"

#include <fmt/format.h>

namespace fw {

namespace {

constexpr double kPixelM = 4, kNearestM = 10;

struct Front {
    PlanePoint at;
    double alongM = 0;
};

std::optional<Front> placeInFront(const RuleView& view, PlanePoint from, GridAzimuth azimuth) {
    const SinCos a = sinCosDegFixed(azimuth.deg);
    for (double d = view.limits()["macro-faces-cell.distance"]; d >= kNearestM; d -= kPixelM) {
        const PlanePoint p = from + PlanePoint{a.sin, a.cos} * d;
        if (view.study().surface().prismAt(p) < 0) return Front{p, d};
    }
    return std::nullopt;
}

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const SmallCellPart cell = view.cell(t[0]);
    const MountPart* mount = view.study().mount(cell.mount);
    if (!mount || cell.layer < 0) return std::nullopt;
    const auto front = placeInFront(view, mount->at, cell.azimuth);
    if (!front) return std::nullopt;
    const auto macro = view.study().macroAt(cell.layer, front->at);
    if (!macro) return std::nullopt;
    const auto own = view.numbers().smallAt(t[0], front->at);
    if (!own) return std::nullopt;
    const double over = macro->levelDbm - *own;
    const double warn = view.limits()["macro-faces-cell.warn"];
    const double block = view.limits()["macro-faces-cell.block"];
    if (over < warn && over < block) return std::nullopt;

    Finding f;
    f.severity = over >= block ? Severity::block : Severity::warn;
    f.measured = {over, "dB"};
    f.limit = {over >= block ? block : warn, "dB"};
    f.where = front->at;
    f.text = fmt::format("{:.0f} m in front of {} {} arrives {:.1f} dB {} the small cell ({:.1f} "
                         "against {:.1f} dBm).",
                         front->alongM, view.name(t[0]), view.called("cell", macro->cell),
                         over < 0 ? -over : over, over < 0 ? "under" : "over", macro->levelDbm, *own);
    f.source = view.limits().origin(over >= block ? "macro-faces-cell.block" : "macro-faces-cell.warn");
    return f;
}

} // namespace

Rule macroFacesCell() {
    Rule r;
    r.id = "macro-faces-cell";
    r.title = "Macro outshines the small cell";
    r.why = "Devices right in front of the radio hear a macro of its carrier better.";
    r.turnable = true;
    r.heavy = true;
    r.slack = {{1, "dB"}};
    r.all = everySmall;
    r.touched = touchedSmalls;
    r.check = check;
    return r;
}

} // namespace fw
