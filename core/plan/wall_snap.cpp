// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/wall_snap.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

// The box of an outline, straight from its corners in millimetres.
Box boxOf(const BuildingChunk& c, std::size_t i) {
    const std::uint32_t ring = c.firstRing[i];
    std::int32_t x0 = c.cornerMm[2 * c.firstCorner[ring]], x1 = x0;
    std::int32_t y0 = c.cornerMm[2 * c.firstCorner[ring] + 1], y1 = y0;
    for (std::uint32_t k = c.firstCorner[ring]; k < c.firstCorner[ring + 1]; ++k) {
        x0 = std::min(x0, c.cornerMm[2 * k]);
        x1 = std::max(x1, c.cornerMm[2 * k]);
        y0 = std::min(y0, c.cornerMm[2 * k + 1]);
        y1 = std::max(y1, c.cornerMm[2 * k + 1]);
    }
    return {c.originX + x0 / 1000.0, c.originY + y0 / 1000.0, c.originX + x1 / 1000.0,
            c.originY + y1 / 1000.0};
}

PlanePoint directionOf(GridAzimuth a) { return {std::sin(radians(a.deg)), std::cos(radians(a.deg))}; }

// The wall from `a` to `b` with the building on its left, as rings run.
WallSnap onWall(ItemId building, PlanePoint a, PlanePoint b, PlanePoint near) {
    const PlanePoint d = b - a;
    WallSnap s;
    s.building = building;
    s.left = a;
    s.right = b;
    s.wallM = length(d);
    s.outward = GridAzimuth::of(degrees(std::atan2(d.y, -d.x)));
    const double t = std::clamp(dot(near - a, d) / dot(d, d), 0.0, 1.0);
    s.fromLeftM = t * s.wallM;
    s.at = t == 1.0 ? b : a + d * t;
    s.distanceM = planeDistance(near, s.at);
    return s;
}

// Calls f(const WallSnap&) for each wall of a building.
template <class F>
void forWalls(const Building& b, PlanePoint near, F&& f) {
    const auto walls = [&](const Ring& ring, bool outer) {
        const bool turned = (signedArea(ring) > 0) != outer;
        for (std::size_t i = 0; i < ring.size(); ++i) {
            PlanePoint from = ring[i], to = ring[(i + 1) % ring.size()];
            if (from == to) continue;
            if (turned) std::swap(from, to);
            f(onWall(b.id, from, to, near));
        }
    };
    walls(b.footprint.outer, true);
    for (const Ring& hole : b.footprint.holes) walls(hole, false);
}

// Nearer first. At a corner both its walls are as near: the one that looks more towards the place.
bool nearer(const WallSnap& a, const WallSnap& b, PlanePoint near) {
    if (std::fabs(a.distanceM - b.distanceM) > 1e-9) return a.distanceM < b.distanceM;
    const auto towards = [&](const WallSnap& w) { return dot(directionOf(w.outward), near - w.at); };
    return towards(a) > towards(b);
}

void takeCorner(WallSnap& s, PlanePoint near, double reachM) {
    const double left = planeDistance(near, s.left), right = planeDistance(near, s.right);
    if (std::min(left, right) > reachM) return;
    s.corner = true;
    s.at = left <= right ? s.left : s.right;
    s.fromLeftM = left <= right ? 0 : s.wallM;
    s.distanceM = std::min(left, right);
}

} // namespace

PlanePoint WallSnap::outBy(double m) const { return at + directionOf(outward) * m; }

WallIndex::WallIndex(const Scenery& scenery) : m_chunks(scenery.buildingChunks()) {
    std::vector<Box> boxes;
    boxes.reserve(scenery.buildingCount());
    m_first.reserve(m_chunks.size());
    for (const auto& chunk : m_chunks) {
        m_first.push_back(static_cast<std::uint32_t>(boxes.size()));
        for (std::size_t i = 0; i < chunk->size(); ++i) boxes.push_back(boxOf(*chunk, i));
    }
    m_boxes = BoxIndex(boxes);
}

bool WallIndex::isOf(const Scenery& scenery) const { return m_chunks == scenery.buildingChunks(); }

Building WallIndex::building(std::uint32_t index) const {
    const auto after = std::upper_bound(m_first.begin(), m_first.end(), index);
    const auto c = static_cast<std::size_t>(after - m_first.begin()) - 1;
    return m_chunks[c]->building(index - m_first[c]);
}

std::optional<Building> WallIndex::buildingAt(PlanePoint p) const {
    std::vector<std::uint32_t> near;
    m_boxes.query({p.x, p.y, p.x, p.y}, near);
    std::optional<Building> best;
    for (const std::uint32_t i : near) {
        Building b = building(i);
        if (contains(b.footprint, p) && (!best || b.heightM > best->heightM)) best = std::move(b);
    }
    return best;
}

// Looked at a little out from the wall and a little in from its ends, where a nook's other wall begins.
bool WallIndex::freeOutside(const WallSnap& wall) const {
    const double in = std::min(0.3, wall.wallM / 2);
    const double along = std::clamp(wall.fromLeftM, in, wall.wallM - in);
    const PlanePoint unit = (wall.right - wall.left) * (1 / wall.wallM);
    WallSnap probe = wall;
    probe.at = wall.left + unit * along;
    return !buildingAt(probe.outBy(0.25));
}

std::optional<WallSnap> WallIndex::snap(PlanePoint near, double reachM) const {
    std::vector<std::uint32_t> boxes;
    m_boxes.query(Box{near.x, near.y, near.x, near.y}.grown(reachM), boxes);
    std::vector<WallSnap> walls;
    for (const std::uint32_t i : boxes)
        forWalls(building(i), near, [&](const WallSnap& w) {
            if (w.distanceM <= reachM) walls.push_back(w);
        });
    std::sort(walls.begin(), walls.end(),
              [&](const WallSnap& a, const WallSnap& b) { return nearer(a, b, near); });
    for (WallSnap& w : walls) {
        if (!freeOutside(w)) continue;
        takeCorner(w, near, reachM / 3);
        return w;
    }
    return std::nullopt;
}

std::optional<WallSnap> WallIndex::snapTo(ItemId id, PlanePoint near) const {
    for (const auto& chunk : m_chunks) {
        if (chunk->ids.empty() || chunk->ids.back() < id) continue;
        const auto it = std::lower_bound(chunk->ids.begin(), chunk->ids.end(), id);
        if (it == chunk->ids.end() || *it != id) return std::nullopt;
        std::optional<WallSnap> best;
        forWalls(chunk->building(static_cast<std::size_t>(it - chunk->ids.begin())), near,
                 [&](const WallSnap& w) {
                     if (!best || nearer(w, *best, near)) best = w;
                 });
        return best;
    }
    return std::nullopt;
}

std::optional<GridAzimuth> Footing::faces() const {
    if (!wall || kind == MountKind::pole || kind == MountKind::roof) return std::nullopt;
    return wall->outward;
}

namespace {

Footing onRoof(const WallIndex& walls, PlanePoint near, double reachM) {
    Footing s{MountKind::roof, near, std::nullopt, {}};
    std::optional<WallSnap> edge;
    if (const auto under = walls.buildingAt(near)) {
        s.building = under->id;
        edge = walls.snapTo(under->id, near);
        if (!edge || edge->distanceM >= kInsideRoofM) return s;
    } else if (edge = walls.snap(near, reachM); edge) {
        s.building = edge->building;
    } else {
        return s;
    }
    s.at = edge->outBy(-kInsideRoofM);
    s.wall = edge;
    return s;
}

} // namespace

Footing footingOf(const WallIndex& walls, MountKind kind, PlanePoint near, double reachM) {
    if (kind == MountKind::roof) return onRoof(walls, near, reachM);
    Footing s{kind, near, std::nullopt, {}};
    if (kind == MountKind::pole) return s;
    s.wall = walls.snap(near, reachM);
    if (!s.wall) return s;
    s.building = s.wall->building;
    s.at = s.wall->outBy(kind == MountKind::wall ? kOffWallM : -kBehindEdgeM);
    return s;
}

Footing footingAt(const WallIndex& walls, PlanePoint near, double reachM, bool onEdge) {
    const Footing edge = footingOf(walls, onEdge ? MountKind::parapet : MountKind::wall, near, reachM);
    if (edge.wall) return edge;
    if (walls.buildingAt(near)) return onRoof(walls, near, reachM);
    return footingOf(walls, MountKind::pole, near, reachM);
}

} // namespace fw
