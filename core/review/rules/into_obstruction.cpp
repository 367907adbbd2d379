// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   into-obstruction: too much of the main beam, weighted with its pattern, ends at a solid close by; or
//        the boresight is not clear for a stretch, unless what stands there is a building to be served that
//        is far enough off.
// Beam   the half-power beam, its pattern the parabola of that width. Solids at antenna height, the carrying
//        building among them: that one is never a building to be served.
// Why    what ends at a wall serves nobody beyond it and heats the wall's own rooms.
// Source own judgement.  Waiver key: rule id + radio + variant.
#include "review/geometry.h"
#include "review/rules/every_rule.h"
#include "review/tuples.h"

#include <fmt/format.h>

#include <cmath>

namespace fw {

namespace {

struct InTheWay {
    double atM = 0, neededM = 0;
    ItemId what;
};

// The nearest thing about the boresight that should not be there.
std::optional<InTheWay> inTheWay(const RuleView& view, const MountPart& mount, GridAzimuth azimuth) {
    const double half = view.limits()["into-obstruction.boresight-half"];
    const double clearFor = view.limits()["into-obstruction.clear-for"];
    const double servedFrom = view.limits()["into-obstruction.served-from"];
    const auto& prisms = view.study().surface().prisms();
    const ItemId own = mount.ownPrism >= 0 ? prisms[static_cast<std::size_t>(mount.ownPrism)].id : ItemId{};
    std::optional<InTheWay> worst;
    for (int k = 0; k < Skyline::kBearings; ++k) {
        if (!inBeam(azimuth, GridAzimuth::of(k * 0.5), half)) continue;
        const Skyline::Bearing& b = mount.skyline->bearing[static_cast<std::size_t>(k)];
        const bool served = b.solid && b.solid != own;
        const double needed = served ? std::min(servedFrom, clearFor) : clearFor;
        const double at = static_cast<double>(b.solidM);
        if (at < needed && (!worst || at < worst->atM)) worst = InTheWay{at, needed, b.solid};
    }
    return worst;
}

std::optional<Finding> shareFinding(const RuleView& view, double percent) {
    const double warn = view.limits()["into-obstruction.warn"];
    const double block = view.limits()["into-obstruction.block"];
    if (percent < warn && percent < block) return std::nullopt;
    Finding f;
    f.severity = percent >= block ? Severity::block : Severity::warn;
    f.measured = {percent, "%"};
    f.limit = {percent >= block ? block : warn, "%"};
    return f;
}

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const SmallCellPart cell = view.cell(speakerOf(view, t[0]));
    const MountPart* mount = view.study().mount(cell.mount);
    if (!mount || !mount->skyline) return std::nullopt;
    const double near = view.limits()["into-obstruction.near"];
    const double percent = 100 * beamBlockedShare(*mount->skyline, cell.azimuth, cell.hBeamDeg, near);
    auto f = shareFinding(view, percent);
    if (f) {
        f->text = fmt::format("{:.0f} % of the main beam of {} ends within {:.0f} m.", percent,
                              view.name(t[0]), near);
        f->source = view.limits().origin("into-obstruction.near");
    } else if (const auto w = inTheWay(view, *mount, cell.azimuth)) {
        f.emplace();
        f->severity = Severity::warn;
        f->measured = {w->atM, "m"};
        f->limit = {w->neededM, "m"};
        f->text = fmt::format("{} looks at {} {:.1f} m ahead; {:.0f} m should be clear.", view.name(t[0]),
                              w->what ? view.name(w->what) : "rising ground", w->atM, w->neededM);
        f->source = view.limits().origin("into-obstruction.clear-for");
    }
    if (f) f->where = mount->at;
    return f;
}

} // namespace

Rule intoObstruction() {
    Rule r;
    r.id = "into-obstruction";
    r.title = "Looks into an obstruction";
    r.why = "What ends at a wall close by serves nobody beyond it.";
    r.turnable = true;
    r.slack = {{3, "%"}, {0.5, "m"}};
    r.all = everyRadio;
    r.touched = touchedRadios;
    r.check = check;
    return r;
}

} // namespace fw
