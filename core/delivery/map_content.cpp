// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/map_content.h"

#include "geo/frame.h"
#include "study/study.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr double kAspect = 1.55;

void addScenery(MapContent& m, const Study& study) {
    std::vector<std::uint32_t> near;
    study.surface().prismIndex().query(m.bounds, near);
    for (const auto i : near) {
        const Prism& p = study.surface().prisms()[i];
        m.blocks.push_back({p.footprint, p.heightM, p.id});
    }
    const Plan& plan = study.plan();
    for (const Street& s : plan.streets)
        if (boundsOf(s.path).meets(m.bounds)) m.ways.push_back({s.path, s.widthM, s.name});
    for (const CongestionArea& a : plan.congestionAreas)
        if (boundsOf(a.area).meets(m.bounds)) m.congestion.push_back(a.area);
    for (const OverheadLine& l : plan.overheadLines)
        if (boundsOf(l.path).meets(m.bounds)) m.overheadLines.push_back(l.path);
}

void addMasts(MapContent& m, const Study& study) {
    const Plan& plan = study.plan();
    for (const MacroSite& site : plan.macroSites) {
        if (!m.bounds.contains(site.at)) continue;
        MapMast mast{site.at, site.name, {}};
        for (const Sector& s : plan.sectors)
            if (s.site == site.id)
                mast.beams.push_back({study.frame().toGrid(s.azimuth, site.at).deg, s.hBeamDeg});
        m.masts.push_back(std::move(mast));
    }
}

void addPlates(MapContent& m, const Study& study) {
    for (const SmallCellPart& part : study.smallCells()) {
        const Mount* mount = study.plan().mounts.find(part.mount);
        if (!part.chosen || !mount || !m.bounds.contains(mount->at)) continue;
        auto it = std::find_if(m.plates.begin(), m.plates.end(),
                               [&](const MapPlate& p) { return p.mount == part.mount; });
        if (it == m.plates.end()) {
            m.plates.push_back({part.mount, mount->at, mount->kind, study.plan().label(part.mount), {}});
            it = m.plates.end() - 1;
        }
        const MapBeam beam{part.azimuth.deg, part.hBeamDeg};
        const bool there = std::any_of(it->beams.begin(), it->beams.end(), [&](const MapBeam& b) {
            return b.gridDeg == beam.gridDeg && b.widthDeg == beam.widthDeg;
        });
        if (!there) it->beams.push_back(beam);
    }
    std::sort(m.plates.begin(), m.plates.end(),
              [](const MapPlate& a, const MapPlate& b) { return a.mount < b.mount; });
}

void addGround(MapContent& m, const Study& study, double cellM) {
    const Terrain& terrain = study.surface().terrain();
    if (terrain.heights.empty()) return;
    const double x0 = std::floor(m.bounds.x0 / cellM) * cellM, y0 = std::floor(m.bounds.y0 / cellM) * cellM;
    const int w = static_cast<int>(std::ceil((m.bounds.x1 - x0) / cellM)) + 1;
    const int h = static_cast<int>(std::ceil((m.bounds.y1 - y0) / cellM)) + 1;
    m.ground = Grid<float>(x0 - cellM / 2, y0 - cellM / 2, cellM, w, h);
    for (int r = 0; r < h; ++r)
        for (int c = 0; c < w; ++c) m.ground.at(c, r) = static_cast<float>(terrain.at(m.ground.centre(c, r)));
}

} // namespace

MapContent mapContent(const Study& study, const Box& bounds, double groundCellM) {
    MapContent m;
    m.bounds = bounds;
    m.convergenceDeg = study.frame().convergenceDeg(bounds.centre());
    m.scale = study.frame().scale(bounds.centre());
    m.crs = fmt::format("{} (EPSG:{})", study.frame().name(), study.frame().epsg());
    addScenery(m, study);
    addMasts(m, study);
    addPlates(m, study);
    addGround(m, study, groundCellM);
    return m;
}

Box overviewBounds(const Study& study, const std::vector<PlanePoint>& sites) {
    Box box;
    for (const PlanePoint p : sites) box.add(p);
    for (const MacroCell& c : study.macroCells()) {
        const MacroSite* site = study.plan().macroSites.find(c.site);
        if (c.congested && site) box.add(site->at);
    }
    if (box.empty()) box = study.plan().settings->workArea;
    box = box.grown(std::max(250.0, 0.08 * std::max(box.width(), box.height())));
    // Broad enough for a sheet's width: what a tall map would leave blank at its sides shows more of the
    // town.
    const double missing = kAspect * box.height() - box.width();
    if (missing > 0) box = {box.x0 - missing / 2, box.y0, box.x1 + missing / 2, box.y1};
    return box;
}

} // namespace fw
