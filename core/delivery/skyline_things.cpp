// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/skyline_things.h"

#include "base/log_exp.h"

#include <algorithm>
#include <set>

namespace fw {

namespace {

constexpr double kReachM = 1500;

// A thing with what sight to it is asked of: the sector or the small cell.
struct Seen {
    SkylineThing thing;
    ItemId towards;
};

void add(std::vector<Seen>& out, const Study& study, const MountPart& from, Seen s, PlanePoint at,
         double amsl) {
    // Plane metres first: the ground's cost microseconds, and a scale is never two.
    if (planeDistance(from.at, at) > 2 * kReachM) return;
    SkylineThing& t = s.thing;
    t.distanceM = study.frame().groundDistance(from.at, at);
    if (t.distanceM < 1 || t.distanceM > kReachM) return;
    t.azimuthTrueDeg = study.frame().trueAzimuth(from.at, at).deg;
    t.elevationDeg = atan2DegFixed(amsl - from.antennaAmsl, t.distanceM);
    out.push_back(std::move(s));
}

} // namespace

std::vector<SkylineThing> skylineThings(const Study& study, ItemId small, std::size_t most) {
    const SmallCellPart* self = study.smallCell(small);
    const MountPart* from = self ? study.mount(self->mount) : nullptr;
    if (!from) return {};
    using What = SkylineThing::What;
    std::vector<Seen> seen;
    std::set<ItemId> known{from->id};
    for (const MacroCell& c : study.macroCells()) {
        const MacroSite* site = study.plan().macroSites.find(c.site);
        if (!site || !known.insert(c.site).second) continue;
        add(seen, study, *from, {{What::macro, {}, 0, 0, 0, false, site->id}, c.sector}, site->at,
            c.antennaAmsl);
    }
    for (const SmallCellPart& s : study.smallCells()) {
        const MountPart* m = study.mount(s.mount);
        if (!s.chosen || !m || !known.insert(s.mount).second) continue;
        add(seen, study, *from, {{What::small, {}, 0, 0, 0, false, s.mount}, s.id}, m->at, m->antennaAmsl);
    }
    std::stable_sort(seen.begin(), seen.end(),
                     [](const Seen& a, const Seen& b) { return a.thing.distanceM < b.thing.distanceM; });
    if (seen.size() > most) seen.resize(most);
    std::vector<SkylineThing> out;
    for (Seen& s : seen) {
        s.thing.name = s.thing.what == What::macro ? study.plan().macroSites.find(s.thing.item)->name
                                                   : study.plan().label(s.thing.item);
        s.thing.inSight = s.thing.what == What::macro ? study.sightToSector(small, s.towards).clear
                                                      : study.sightToSmall(small, s.towards).clear;
        out.push_back(std::move(s.thing));
    }
    return out;
}

} // namespace fw
