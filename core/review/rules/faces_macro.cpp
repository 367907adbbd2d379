// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   faces-macro: a macro site that sends stands within half of the radio's beamwidth and a margin of its
//        azimuth. In sight and near blocks, up to half the local site spacing warns, farther (to one spacing)
//        or shielded is a note. When that site's signal overtakes the small cell's along the boresight early,
//        the grade rises. A site without the small cell's carrier counts one grade lower. A macro right
//        overhead has no bearing and is left to macro-too-near.
// Local site spacing: mean ground distance from that macro site to its three nearest neighbours that send.
// Why    the small cell shines at an antenna that covers the same ground from above and wins it back.
// Source common practice for the geometry; grades are own judgement.
// Waiver key: rule id + small cell and site ascending + variant.
#include "review/geometry.h"
#include "review/rules/every_rule.h"
#include "review/tuples.h"

#include "base/log_exp.h"

#include <fmt/format.h>

#include <algorithm>

namespace fw {

namespace {

struct Reach {
    double blockM = 0, warnM = 0, noteM = 0; ///< ground distances, block <= warn <= note
};

Reach reachAt(const Limits& l, std::optional<double> siteSpacingM) {
    const double spacing = siteSpacingM.value_or(l["faces-macro.lone-spacing"]);
    Reach r;
    r.blockM = l["faces-macro.block-within"];
    r.warnM = std::max(r.blockM, l["faces-macro.warn-spacings"] * spacing);
    r.noteM = std::max(r.warnM, l["faces-macro.note-spacings"] * spacing);
    return r;
}

std::vector<Subjects> tuplesOf(const RuleView& view, const std::vector<ItemId>& smalls) {
    double farthest = 0;
    for (const SiteSpot& s : view.near().sites())
        farthest = std::max(farthest, reachAt(view.limits(), view.near().spacingBoundM(s)).noteM);
    std::vector<Subjects> out;
    std::vector<std::uint32_t> hits;
    for (const ItemId id : smalls) {
        const SmallCellPart* s = view.study().smallCell(id);
        const MountPart* m = s ? view.study().mount(s->mount) : nullptr;
        if (!m) continue;
        view.near().sitesNear(m->at, farthest, hits);
        for (const std::uint32_t h : hits) out.push_back({id, view.near().sites()[h].id});
    }
    return out;
}

std::vector<Subjects> all(const RuleView& view) {
    std::vector<ItemId> ids;
    for (const SmallCellPart& s : view.study().smallCells()) ids.push_back(s.id);
    return tuplesOf(view, ids);
}

std::vector<Subjects> touched(const RuleView& view, const ReviewChange& change) {
    return tuplesOf(view, change.smalls);
}

struct Grade {
    std::optional<Severity> severity;
    double measuredM = 0, limitM = 0;
};

Grade byPlace(double distanceM, bool clear, const Reach& r) {
    if (distanceM > r.noteM) return {};
    if (clear && distanceM <= r.blockM) return {Severity::block, distanceM, r.blockM};
    if (clear && distanceM <= r.warnM) return {Severity::warn, distanceM, r.warnM};
    return {Severity::note, distanceM, r.noteM};
}

// Metres along the boresight at which a macro is stronger; empty unless it is one of this site.
std::optional<double> overtakenAfterM(const RuleView& view, const SmallCellPart& cell, PlanePoint at,
                                      ItemId site) {
    const double lead = view.numbers().leadAlongBoresightM(cell.id);
    if (lead >= view.plan().settings->model.smallReachM) return std::nullopt;
    const SinCos a = sinCosDegFixed(cell.azimuth.deg);
    const PlanePoint there = at + PlanePoint{a.sin, a.cos} * lead;
    const auto served =
        cell.layer >= 0 ? view.study().macroAt(cell.layer, there) : view.study().macroAt(there);
    const MacroCell* macro = served ? view.study().macroCell(served->cell) : nullptr;
    if (!macro || macro->site != site) return std::nullopt;
    return lead;
}

// The lead's grade replaces the place's only where it is worse.
void raiseByLead(const Limits& l, double leadM, Grade& g) {
    const double block = l["faces-macro.lead-block"], warn = l["faces-macro.lead-warn"];
    if (leadM < block && g.severity < Severity::block)
        g = {Severity::block, leadM, block};
    else if (leadM < warn && g.severity < Severity::warn)
        g = {Severity::warn, leadM, warn};
}

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const SmallCellPart cell = view.cell(t[0]);
    const MountPart* mount = view.study().mount(cell.mount);
    const SiteSpot* site = view.near().site(t[1]);
    if (!mount || !site || planeDistance(mount->at, site->at) < kSamePlaceM) return std::nullopt;
    const double half = cell.hBeamDeg / 2 + view.limits()["faces-macro.margin"];
    const GridAzimuth bearing = gridAzimuth(mount->at, site->at);
    if (!inBeam(cell.azimuth, bearing, half)) return std::nullopt;
    const double distance = view.study().frame().groundDistance(mount->at, site->at);
    if (distance > reachAt(view.limits(), view.near().spacingBoundM(*site)).noteM) return std::nullopt;
    const Reach reach = reachAt(view.limits(), view.near().spacingM(*site));
    if (distance > reach.noteM) return std::nullopt;
    const bool clear = view.study().sightToSector(t[0], site->topSector).clear;

    Grade g = byPlace(distance, clear, reach);
    const auto lead = overtakenAfterM(view, cell, mount->at, site->id);
    if (lead) raiseByLead(view.limits(), *lead, g);
    const bool shares = std::binary_search(site->layers.begin(), site->layers.end(), cell.layer);
    if (!shares) g.severity = gradeLower(*g.severity);
    if (!g.severity) return std::nullopt;

    Finding f;
    f.severity = *g.severity;
    f.measured = {g.measuredM, "m"};
    f.limit = {g.limitM, "m"};
    f.where = mount->at;
    f.text =
        fmt::format("{} looks at {}: {:.0f} m away, {:.1f} deg off its boresight, {}{}{}.", view.name(t[0]),
                    view.called("macro site", t[1]), distance, offBoresightDeg(cell.azimuth, bearing),
                    clear ? "in sight" : "shielded",
                    lead ? fmt::format("; the macro takes over {:.0f} m along the boresight", *lead) : "",
                    shares ? "" : "; it sends on another carrier");
    f.source = "common practice; grades own judgement";
    return f;
}

} // namespace

Rule facesMacro() {
    Rule r;
    r.id = "faces-macro";
    r.title = "Faces a macro";
    r.why = "The small cell looks at an antenna that covers the same ground from above and wins it back.";
    r.turnable = true;
    r.heavy = true;
    r.slack = {{5, "m"}};
    r.all = all;
    r.touched = touched;
    r.check = check;
    return r;
}

} // namespace fw
