// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   roof-edge: for a roof or parapet mount the ray along the lower half-power edge to the nearest served
//        ground clears the building's own outline (roof and parapet) by 0.6 of the first Fresnel zone.
//        Cut blocks, grazing warns.
// Why    the near street lies in the roof's shadow, and the edge scatters.
// Source Rec. ITU-R P.526-16, section 2 (Fresnel zone; 0.6 of its radius free counts as clear).
// Waiver key: rule id + radio + variant.
#include "review/lip.h"
#include "review/rules/every_rule.h"
#include "review/tuples.h"

#include <fmt/format.h>

namespace fw {

namespace {

bool standsOnRoof(const RuleView& view, ItemId mount) {
    const Mount* m = view.plan().mounts.find(mount);
    return m && (m->kind == MountKind::roof || m->kind == MountKind::parapet);
}

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const SmallCellPart cell = view.cell(speakerOf(view, t[0]));
    const MountPart* mount = view.study().mount(cell.mount);
    if (!mount || !standsOnRoof(view, cell.mount)) return std::nullopt;
    LipSpec spec;
    spec.at = mount->at;
    spec.antennaAmsl = mount->antennaAmsl;
    spec.boresight = cell.azimuth;
    spec.hBeamDeg = cell.hBeamDeg;
    spec.depressionDeg = cell.tiltDeg + cell.vBeamDeg / 2;
    spec.reachM = view.plan().settings->model.smallReachM;
    spec.needF1 = view.limits()["roof-edge.clearance"];
    spec.frequency = cell.frequency;
    const auto lip = worstLip(view.study().surface(), mount->ownPrism, spec);
    if (!lip) return std::nullopt;
    const double need = spec.needF1 * lip->firstZoneM;
    if (lip->clearanceM >= need) return std::nullopt;

    Finding f;
    f.severity = lip->clearanceM < 0 ? Severity::block : Severity::warn;
    f.measured = {lip->clearanceM, "m"};
    f.limit = {need, "m"};
    f.where = mount->at;
    f.text =
        lip->clearanceM < 0
            ? fmt::format("The lower half-power edge of {} runs into its own roof's edge {:.1f} m ahead, "
                          "{:.1f} m under its top.",
                          view.name(t[0]), lip->alongM, -lip->clearanceM)
            : fmt::format("The lower half-power edge of {} passes its own roof's edge {:.1f} m ahead by "
                          "{:.2f} m; {:.2f} m keeps {:.1f} of the first Fresnel zone free.",
                          view.name(t[0]), lip->alongM, lip->clearanceM, need, spec.needF1);
    f.source = view.limits().origin("roof-edge.clearance");
    return f;
}

} // namespace

Rule roofEdge() {
    Rule r;
    r.id = "roof-edge";
    r.title = "Own roof edge in the beam";
    r.why = "The near street lies in the shadow of the building's own edge.";
    r.turnable = true;
    r.slack = {{0.1, "m"}};
    r.all = everyRadio;
    r.touched = touchedRadios;
    r.check = check;
    return r;
}

} // namespace fw
