// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/site_sheet.h"

#include "base/log_exp.h"
#include "delivery/place_text.h"
#include "delivery/radio_sheet.h"
#include "delivery/site_works_text.h"
#include "delivery/support.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace fw {

namespace {

constexpr std::size_t kThingsMost = 8; // that a strip on paper has room for

bool names(const Finding& f, const std::set<ItemId>& ids) {
    return std::any_of(f.subjects.begin(), f.subjects.end(), [&](ItemId s) { return ids.count(s) != 0; });
}

std::vector<SheetFinding> findingsFor(const Plan& plan, const Review& review, const SiteSheet& sheet) {
    std::set<ItemId> ids{sheet.mount};
    for (const RadioSheet& r : sheet.radios) {
        ids.insert(r.radio);
        for (const CellSheet& c : r.cells) ids.insert(c.small);
    }
    std::vector<SheetFinding> open, stands;
    for (const Finding& f : review.findings) {
        if (!names(f, ids) || f.standing == Standing::stale) continue;
        (f.standing == Standing::stands ? stands : open).push_back(sheetFinding(plan, f));
    }
    open.insert(open.end(), stands.begin(), stands.end());
    return open;
}

Status fillPlace(SiteSheet& s, const Study& study, const Mount& mount) {
    const Frame& frame = study.frame();
    const auto geo = frame.toGeo(mount.at);
    if (!geo) return Error{ErrorCode::badInput, geo.error().text, study.plan().label(mount.id)};
    s.mount = mount.id;
    s.name = study.plan().label(mount.id);
    s.geo = *geo;
    s.plane = mount.at;
    s.crsName = frame.name();
    s.epsg = frame.epsg();
    s.convergenceDeg = frame.convergenceDeg(mount.at);
    s.scale = frame.scale(mount.at);
    s.geoUri = geoUri(*geo);
    s.kind = mount.kind;
    s.kindWord = wordFor(mount.kind);
    s.ownBuilding = ownBuilding(study, mount.id);
    s.support = supportText(study, mount);
    s.tape = tapeText(study, mount);
    s.heightAgl = mount.height.m;
    s.access = mount.access;
    s.owner = mount.owner;
    s.consent = wordFor(mount.consent);
    return Done{};
}

void fillDeclination(SiteSheet& s, const MagneticField& field, Date date) {
    s.date = date.iso();
    const auto d = field.declinationDeg(s.geo, HeightAmsl{s.groundAmsl}, date);
    if (!d) {
        s.declinationText = "no magnetic azimuth: " + d.error().text;
        return;
    }
    s.declinationDeg = *d;
    s.declinationText =
        fmt::format("{:.1f} deg {}, {}, {}", std::fabs(*d), *d < 0 ? "west" : "east", s.date, field.name());
}

} // namespace

std::vector<ItemId> chosenMounts(const Study& study) {
    std::set<ItemId> ids;
    for (const SmallCellPart& s : study.smallCells())
        if (s.chosen) ids.insert(s.mount);
    return {ids.begin(), ids.end()};
}

SheetFinding sheetFinding(const Plan& plan, const Finding& f) {
    SheetFinding out{f.rule, f.severity, f.standing, f.text, {}, {}, {}, {}, f.source};
    if (f.remedy) out.remedy = f.remedy->text;
    if (const Waiver* w = plan.waivers.find(f.waiver)) {
        out.reason = w->reason;
        out.who = w->who;
        out.when = w->when;
    }
    return out;
}

Result<SiteSheet> siteSheet(const Study& study, const Review& review, const MagneticField& field, ItemId id,
                            const Ledger* ledger) {
    const Plan& plan = study.plan();
    const Mount* mount = plan.mounts.find(id);
    const MountPart* part = study.mount(id);
    if (!mount || !part)
        return Error{ErrorCode::notFound, fmt::format("Item {} is no mount of this plan.", id.v)};
    SiteSheet s;
    if (auto ok = fillPlace(s, study, *mount); !ok) return ok.error();
    s.groundAmsl = part->groundAmsl;
    s.skyline = part->skyline;
    fillDeclination(s, field, plan.settings->date);
    s.radios = radioSheets(study, *part, s, ledger);
    if (s.radios.empty())
        return Error{ErrorCode::badInput, "No chosen small cell stands here, so there is no sheet to make.",
                     s.name};
    const SiteWorks* works = worksOf(plan, id);
    s.works = worksTexts(plan, study.frame(), *mount, works);
    s.things = skylineThings(study, s.radios.front().cells.front().small, kThingsMost);
    s.findings = findingsFor(plan, review, s);
    s.cautions = cautionsFor(hazardsOf(*mount, works));
    s.checks = checksFor(s, mount->gnssTiming);
    s.signOff = {"Installer", "Planner", "Owner of the structure", "Customer's concurrence"};
    return s;
}

} // namespace fw
