// SPDX-License-Identifier: GPL-3.0-or-later
#include "port_merrow.h"

#include "port_merrow_map.h"
#include "port_merrow_parts.h"

#include "geo/frame.h"

namespace fw::town {

namespace {

constexpr double kTerrainCellM = 5;

// Three decimals are plenty for whole degrees and keep what PROJ says out of the digits.
double convergence() {
    const auto frame = Frame::fromEpsg(kTownEpsg);
    return frame ? rounded(frame->convergenceDeg(kTownOrigin + kTownArea.centre()), 0.001) : 0;
}

PlanSettings settingsOf(ItemId activeVariant) {
    PlanSettings s;
    s.name = "Port Merrow";
    s.operatorName = "Merrow Mobile";
    s.author = "Sample project";
    s.uid = "5b0c1f6e-9d0a-4c57-8a36-706f72746d77";
    s.date = {2026, 6, 1};
    s.epsg = kTownEpsg;
    s.workArea = {kTownOrigin.x + kTownArea.x0, kTownOrigin.y + kTownArea.y0, kTownOrigin.x + kTownArea.x1,
                  kTownOrigin.y + kTownArea.y1};
    s.activeVariant = activeVariant;
    return s;
}

constexpr std::size_t kMounts = 140;

} // namespace

Sample makePortMerrow(const std::vector<Aim>& aims) {
    const PortMerrowMap map;
    Sample sample;
    sample.terrain =
        std::make_shared<const Terrain>(Terrain{map.land.raster(kTownOrigin, kIslandArea, kTerrainCellM), 0});
    Build b{map.fabric, kTownOrigin, sample.terrain, {}, {}, convergence()};
    const ItemId a = b.next(), other = b.next();
    b.plan.variants.put({a, "A: low band where the fringe is"});
    b.plan.variants.put({other, "B: a carrier of its own"});
    addMacros(b, portMerrowSites(), 16);
    addCongestionAreas(b);
    addStreets(b);
    const std::vector<Line> lines = addOverheadLines(b);
    addFibreAndPower(b);

    std::vector<PlanePoint> trees;
    for (const TreeSpot& t : map.trees) trees.push_back(t.at);
    const SpotFinder finder(b, trees, lines);
    RollOut roll(b, finder, a, other);
    sample.expected = addBadMounts(roll);
    addGoodMounts(roll, kMounts);
    addRadios(roll, aims);
    addScenery(b, map.trees);
    b.plan.settings = std::make_shared<const PlanSettings>(settingsOf(a));
    sample.plan = std::move(b.plan);
    return sample;
}

} // namespace fw::town
