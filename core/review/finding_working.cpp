// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/finding_working.h"

#include "base/text.h"
#include "review/finding_desk.h"
#include "review/geometry.h"
#include "review/lip.h"
#include "review/tuples.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace fw {

namespace {

void aim(const Desk& d, const SmallCellPart& cell, PlanePoint at) {
    d.input(fmt::format("azimuth of {}, true", d.view.name(cell.radio)), d.trueDeg(cell.azimuth, at), "deg",
            "plan");
    d.input(fmt::format("half-power beamwidth of {}", d.view.name(cell.radio)), cell.hBeamDeg, "deg", "plan");
}

void facesMacro(const Desk& d) {
    const SmallCellPart cell = d.view.cell(d.subject(0));
    const MountPart* mount = d.study().mount(cell.mount);
    const SiteSpot* site = d.view.near().site(d.subject(1));
    if (!mount || !site) return;
    aim(d, cell, mount->at);
    d.limit("faces-macro.margin", "deg");
    const GridAzimuth bearing = gridAzimuth(mount->at, site->at);
    d.step(CORE_TEXT("bearing to the site, true"), d.trueDeg(bearing, mount->at), "deg");
    d.step(CORE_TEXT("off the boresight"), offBoresightDeg(cell.azimuth, bearing), "deg",
           CORE_TEXT("difference of bearing and azimuth"));
    d.step(CORE_TEXT("counts as looking at it up to"),
           cell.hBeamDeg / 2 + d.view.limits()["faces-macro.margin"], "deg",
           CORE_TEXT("half the beamwidth + margin"));
    d.sight(d.study().sightToSector(d.subject(0), site->topSector));
    if (const auto spacing = d.view.near().spacingM(*site))
        d.step(CORE_TEXT("local site spacing"), *spacing, "m",
               CORE_TEXT("mean distance to the three nearest sites that send"));
    const double distance = d.study().frame().groundDistance(mount->at, site->at);
    const double lead = d.view.numbers().leadAlongBoresightM(d.subject(0));
    const bool byLead =
        std::fabs(d.finding.measured.value - lead) < std::fabs(d.finding.measured.value - distance);
    if (!byLead) d.step(CORE_TEXT("stronger than every macro along the boresight for"), lead, "m");
    d.step(CORE_TEXT("distance on the ground"), distance, "m");
    if (byLead) d.step(CORE_TEXT("stronger than every macro along the boresight for"), lead, "m");
}

void macroFacesCell(const Desk& d) {
    const SmallCellPart cell = d.view.cell(d.subject(0));
    const MountPart* mount = d.study().mount(cell.mount);
    if (!mount || cell.layer < 0) return;
    aim(d, cell, mount->at);
    const PlanePoint front = d.finding.where;
    const auto macro = d.study().macroAt(cell.layer, front);
    const auto own = d.view.numbers().smallAt(d.subject(0), front);
    if (!macro || !own) return;
    d.step(CORE_TEXT("place in front, at street height"), planeDistance(mount->at, front), "m");
    d.step(fmt::format("level of {} there", d.view.name(macro->cell)), macro->levelDbm, "dBm");
    d.step(CORE_TEXT("level of the small cell there"), *own, "dBm");
    d.step(CORE_TEXT("macro over small cell"), macro->levelDbm - *own, "dB", CORE_TEXT("difference"));
}

void macroTooNear(const Desk& d) {
    const SmallCellPart cell = d.view.cell(d.subject(0));
    const MountPart* mount = d.study().mount(cell.mount);
    if (!mount) return;
    const auto macro =
        cell.layer >= 0 ? d.study().macroAt(cell.layer, mount->at) : d.study().macroAt(mount->at);
    if (!macro) return;
    d.limit("macro-too-near.relief", "points");
    if (cell.chosen)
        d.step(CORE_TEXT("relief, all macro cells"), d.view.numbers().reliefPoints(cell.id), "points");
    else
        d.step(CORE_TEXT("PRB cost that it overlooks"), d.view.numbers().outlook(cell.id).costPoints,
               "points");
    d.step(fmt::format("level of {} at the mount's foot", d.view.name(macro->cell)), macro->levelDbm, "dBm");
}

void facing(const Desk& d, const char* margin) {
    const auto p = facingPair(d.view, {d.subject(0), d.subject(1)}, d.view.limits()[margin]);
    if (!p) return;
    aim(d, p->a, p->atA);
    aim(d, p->b, p->atB);
    d.limit(margin, "deg");
    const GridAzimuth there = gridAzimuth(p->atA, p->atB), back = gridAzimuth(p->atB, p->atA);
    d.step(fmt::format("{} off the boresight of {}", d.view.name(p->b.id), d.view.name(p->a.id)),
           offBoresightDeg(p->a.azimuth, there), "deg");
    d.step(fmt::format("{} off the boresight of {}", d.view.name(p->a.id), d.view.name(p->b.id)),
           offBoresightDeg(p->b.azimuth, back), "deg");
    d.sight(d.study().sightToSmall(p->a.id, p->b.id));
    d.step(CORE_TEXT("distance on the ground"), p->distanceM, "m");
}

void sameMountSpread(const Desk& d) {
    const Radio a = d.view.radio(d.subject(0)), b = d.view.radio(d.subject(1));
    for (const Radio& r : {a, b})
        d.input(fmt::format("azimuth of {}, true", d.view.name(r.id)), r.azimuth.deg, "deg", "plan");
    d.step(CORE_TEXT("angle between them"), std::fabs(wrap180(a.azimuth.deg - b.azimuth.deg)), "deg",
           CORE_TEXT("the short way round"));
}

// As the rule looks: within so many degrees of the boresight the nearest solid that should not be there.
double nearestInTheWay(const Desk& d, const MountPart& mount, GridAzimuth azimuth) {
    const Limits& l = d.view.limits();
    const auto& prisms = d.study().surface().prisms();
    const ItemId own = mount.ownPrism >= 0 ? prisms[static_cast<std::size_t>(mount.ownPrism)].id : ItemId{};
    double nearest = 1e9;
    for (int k = 0; k < Skyline::kBearings; ++k) {
        if (!inBeam(azimuth, GridAzimuth::of(k * 0.5), l["into-obstruction.boresight-half"])) continue;
        const Skyline::Bearing& b = mount.skyline->bearing[static_cast<std::size_t>(k)];
        const double clear = l["into-obstruction.clear-for"];
        const double needed =
            b.solid && b.solid != own ? std::min(l["into-obstruction.served-from"], clear) : clear;
        const double at = static_cast<double>(b.solidM);
        if (at < needed) nearest = std::min(nearest, at);
    }
    return nearest;
}

void intoObstruction(const Desk& d) {
    const SmallCellPart cell = d.view.cell(speakerOf(d.view, d.subject(0)));
    const MountPart* mount = d.study().mount(cell.mount);
    if (!mount || !mount->skyline) return;
    aim(d, cell, mount->at);
    d.limit("into-obstruction.near", "m");
    const double share = 100 * beamBlockedShare(*mount->skyline, cell.azimuth, cell.hBeamDeg,
                                                d.view.limits()["into-obstruction.near"]);
    const char* formula = CORE_TEXT("bearings of the half-power beam that meet a solid so near, weighted "
                                    "with the pattern");
    d.step(CORE_TEXT("share of the main beam that ends at a solid"), share, "%", formula);
    if (d.finding.measured.unit != "m") return;
    d.limit("into-obstruction.boresight-half", "deg");
    d.step(CORE_TEXT("nearest solid about the boresight"), nearestInTheWay(d, *mount, cell.azimuth), "m");
}

void roofEdge(const Desk& d) {
    const SmallCellPart cell = d.view.cell(speakerOf(d.view, d.subject(0)));
    const MountPart* mount = d.study().mount(cell.mount);
    if (!mount) return;
    aim(d, cell, mount->at);
    d.limit("roof-edge.clearance", "");
    LipSpec spec;
    spec.at = mount->at;
    spec.antennaAmsl = mount->antennaAmsl;
    spec.boresight = cell.azimuth;
    spec.hBeamDeg = cell.hBeamDeg;
    spec.depressionDeg = cell.tiltDeg + cell.vBeamDeg / 2;
    spec.reachM = d.view.plan().settings->model.smallReachM;
    spec.needF1 = d.view.limits()["roof-edge.clearance"];
    spec.frequency = cell.frequency;
    const auto lip = worstLip(d.study().surface(), mount->ownPrism, spec);
    if (!lip) return;
    d.step(CORE_TEXT("lower half-power edge, under the horizon"), spec.depressionDeg, "deg",
           CORE_TEXT("tilt + half the vertical beamwidth"));
    d.step(CORE_TEXT("worst edge of the roof, ahead"), lip->alongM, "m");
    d.step(CORE_TEXT("radius of the first Fresnel zone there"), lip->firstZoneM, "m");
    d.step(CORE_TEXT("wanted over the edge"), spec.needF1 * lip->firstZoneM, "m",
           CORE_TEXT("clearance x radius"));
    d.step(CORE_TEXT("ray over the edge"), lip->clearanceM, "m");
}

void heightWindow(const Desk& d) {
    const Mount* m = d.view.plan().mounts.find(d.subject(0));
    const MountPart* part = d.study().mount(d.subject(0));
    if (!m) return;
    d.limit("height-window.lowest", "m");
    d.limit("height-window.highest", "m");
    if (part) {
        d.step(CORE_TEXT("lowest ground within 10 m ahead, over the datum"), part->groundAmsl, "m");
        d.step(CORE_TEXT("radiation centre, over the datum"), part->antennaAmsl, "m");
    }
    d.step(CORE_TEXT("radiation centre over that ground"), m->height.m, "m", CORE_TEXT("as entered"));
}

void tiltOutlook(const Desk& d) {
    const SmallCellPart cell = d.view.cell(speakerOf(d.view, d.subject(0)));
    const Outlook o = d.view.numbers().outlook(cell.id);
    d.input(CORE_TEXT("tilt, down positive"), cell.tiltDeg, "deg", "plan");
    d.input(CORE_TEXT("vertical half-power beamwidth"), cell.vBeamDeg, "deg", "plan");
    d.step(CORE_TEXT("upper half-power edge, over the horizon"), cell.vBeamDeg / 2 - cell.tiltDeg, "deg",
           CORE_TEXT("half the beamwidth - tilt"));
    d.step(CORE_TEXT("floor area in the beam and in sight"), o.floorM2, "m2");
    d.step(CORE_TEXT("of it, above that edge"), o.floorMissedM2, "m2");
    d.step(CORE_TEXT("missed"), o.floorM2 > 0 ? 100 * o.floorMissedM2 / o.floorM2 : 0, "%",
           CORE_TEXT("above / all"));
}

void sparseOutlook(const Desk& d) {
    const SmallCellPart cell = d.view.cell(d.subject(0));
    const MountPart* mount = d.study().mount(cell.mount);
    if (!mount) return;
    aim(d, cell, mount->at);
    const Outlook o = d.view.numbers().outlook(d.subject(0));
    d.step(CORE_TEXT("ground under buildings in its beam"), o.builtShare * 100, "%");
    d.step(CORE_TEXT("floor area in the beam and in sight"), o.floorM2, "m2");
    d.step(CORE_TEXT("PRB cost in the beam and in sight"), o.costPoints, "points",
           CORE_TEXT("cost of each receiver / blocks of its cell, summed"));
}

void outsideFringe(const Desk& d) {
    const double relief = d.view.numbers().reliefPoints(d.subject(0));
    const double share = d.view.numbers().fringeShare(d.subject(0));
    d.step(CORE_TEXT("relief, all macro cells"), relief, "points");
    d.step(CORE_TEXT("of it, in fringes or congestion areas"), relief * share, "points");
    d.step(CORE_TEXT("share"), 100 * share, "%", CORE_TEXT("in fringes / all"));
}

void lineClearance(const Desk& d) {
    const Mount* m = d.view.plan().mounts.find(d.subject(0));
    if (!m) return;
    d.limit("line-clearance.working-radius", "m");
    const OverheadLine* line = d.view.plan().overheadLines.find(d.subject(1));
    if (line && !line->path.empty()) {
        if (line->kilovolts)
            d.input(CORE_TEXT("voltage of the line"), *line->kilovolts, "kV", "plan");
        else
            d.remark(CORE_TEXT("The voltage is not known and counts as the worst."));
        const PlanePoint nearest = nearestOn(line->path, m->at).nearest;
        d.step(CORE_TEXT("bearing to the nearest place of the line, true"),
               d.study().frame().trueAzimuth(m->at, nearest).deg, "deg");
        d.step(CORE_TEXT("distance seen from above"), d.study().frame().groundDistance(m->at, nearest), "m");
    } else if (m->lineKnownClearanceM) {
        d.step(CORE_TEXT("nearest overhead line by the survey"), *m->lineKnownClearanceM, "m");
    } else {
        d.step(CORE_TEXT("surveys for overhead lines"), m->linesSurveyed ? 1 : 0, "surveys");
    }
}

void skyView(const Desk& d) {
    const MountPart* part = d.study().mount(d.subject(0));
    if (!part || !part->skyline) return;
    d.limit("sky-view.mask", "deg");
    const double mask = d.view.limits()["sky-view.mask"];
    const double hidden = 100 * blockedSkyShare(*part->skyline, mask);
    const double run = widestBlockedRunDeg(*part->skyline, mask);
    const char* formula = CORE_TEXT("1 - mean(1 - sin(max(horizon, mask))) / (1 - sin mask)");
    const bool byShare = d.finding.measured.unit == "%";
    if (byShare) d.step(CORE_TEXT("widest obstruction above the mask"), run, "deg");
    d.step(CORE_TEXT("sky hidden above the mask"), hidden, "%", formula);
    if (!byShare) d.step(CORE_TEXT("widest obstruction above the mask"), run, "deg");
}

using Writer = void (*)(const Desk&);
const std::map<std::string, Writer>& writers() {
    static const std::map<std::string, Writer> table = {
        {"faces-macro", facesMacro},
        {"macro-faces-cell", macroFacesCell},
        {"macro-too-near", macroTooNear},
        {"mutual-facing", [](const Desk& d) { facing(d, "mutual-facing.margin"); }},
        {"one-way-facing", [](const Desk& d) { facing(d, "one-way-facing.margin"); }},
        {"same-mount-spread", sameMountSpread},
        {"into-obstruction", intoObstruction},
        {"roof-edge", roofEdge},
        {"height-window", heightWindow},
        {"tilt-outlook", tiltOutlook},
        {"sparse-outlook", sparseOutlook},
        {"outside-fringe", outsideFringe},
        {"line-clearance", lineClearance},
        {"sky-view", skyView},
        {"pci-collision", writeCollision},
        {"pci-confusion", writeConfusion},
        {"pci-modulo", writeModulo},
        {"root-sequence-overlap", writeSharedRoots},
    };
    return table;
}

} // namespace

Working workingOf(const Study& study, const Finding& finding) {
    const Limits limits(study.plan().settings->profile);
    const Neighbours near(study);
    const RuleView view(study, limits, near);
    Working w;
    const auto rule =
        std::find_if(rules().begin(), rules().end(), [&](const Rule& r) { return r.id == finding.rule; });
    w.title = rule != rules().end() ? rule->title : finding.rule;
    if (!finding.subjects.empty()) w.title += ": " + study.plan().label(finding.subjects.front());
    w.source = finding.source;
    const Desk desk{finding, view, w};
    const auto writer = writers().find(finding.rule);
    if (writer != writers().end()) writer->second(desk);
    const Quantity& m = finding.measured;
    const bool same = !w.steps.empty() && w.steps.back().unit == m.unit &&
                      std::fabs(w.steps.back().value - m.value) <= 1e-9 * std::max(1.0, std::fabs(m.value));
    w.inputs.push_back({CORE_TEXT("limit"), finding.limit.value, finding.limit.unit, finding.source});
    if (!same) {
        w.remarks.emplace_back(
            CORE_TEXT("The plan has changed since this was found; the finding's own figure stands last."));
        w.steps.push_back({CORE_TEXT("measured"), "", m.value, m.unit});
    }
    w.remarks.push_back(finding.text);
    return w;
}

} // namespace fw
