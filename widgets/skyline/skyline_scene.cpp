// SPDX-License-Identifier: GPL-3.0-or-later
#include "skyline/skyline_scene.h"

#include "delivery/support.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr std::size_t kAskedMost = 32;   // things that sight is asked for
constexpr double kHiddenSmallM = 320;    // farther small cells that cannot be seen matter to nobody here
constexpr std::size_t kHiddenMacros = 6; // of those that cannot be seen, the nearest

// Marks worth their room: all in sight, and of the hidden ones those that are near.
std::vector<SkylineThing> worthShowing(std::vector<SkylineThing> things) {
    std::size_t macros = 0;
    std::erase_if(things, [&](const SkylineThing& t) {
        if (t.inSight) return false;
        if (t.what == SkylineThing::What::small) return t.distanceM > kHiddenSmallM;
        return ++macros > kHiddenMacros;
    });
    return things;
}

} // namespace

SkylineScene sceneOf(const Study& study, ItemId small, const SkylineScene& before, bool sameOthers) {
    SkylineScene s;
    const SmallCellPart* part = study.smallCell(small);
    const MountPart* mount = part ? study.mount(part->mount) : nullptr;
    if (!mount || !mount->skyline) return s;
    s.mount = mount->id;
    s.radio = part->radio;
    s.small = small;
    s.skyline = mount->skyline;
    s.hBeamDeg = part->hBeamDeg;
    s.vBeamDeg = part->vBeamDeg;
    s.cost = costByBearing(study, small);
    if (const Mount* m = study.plan().mounts.find(mount->id)) s.tiltsDeg = m->tiltsDeg;
    std::sort(s.tiltsDeg.begin(), s.tiltsDeg.end());
    const bool same = before.small == small && before.skyline == s.skyline;
    s.convergenceDeg = same ? before.convergenceDeg : study.frame().convergenceDeg(mount->at);
    s.ownBuilding = same ? before.ownBuilding : ownBuilding(study, mount->id);
    s.things = same && sameOthers ? before.things : worthShowing(skylineThings(study, small, kAskedMost));
    return s;
}

ElevationRange elevationRange(const SkylineScene& scene) {
    ElevationRange r;
    double highest = 12, lowest = -15, steepest = 0, flattest = 0;
    if (scene.skyline)
        for (const auto& b : scene.skyline->bearing)
            if (!b.cause || b.cause != scene.ownBuilding)
                highest = std::max(highest, static_cast<double>(b.elevationDeg));
    if (!scene.tiltsDeg.empty()) {
        flattest = scene.tiltsDeg.front();
        steepest = scene.tiltsDeg.back();
    }
    highest = std::max(highest, std::min(scene.vBeamDeg, 60.0) / 2 - flattest);
    lowest = std::min(lowest, -std::min(scene.vBeamDeg, 60.0) / 2 - steepest);
    r.topDeg = std::clamp(std::ceil((highest + 3) / 10) * 10, 20.0, 45.0); // what towers higher runs out
    r.bottomDeg = std::clamp(std::floor((lowest - 1) / 5) * 5, -45.0, -15.0);
    return r;
}

} // namespace fw
