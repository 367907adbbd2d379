// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/map_hits.h"

#include "canvas/live_frame.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

double apart(QPointF a, QPointF b) { return std::hypot(a.x() - b.x(), a.y() - b.y()); }

struct Found {
    double distance;
    MapHit hit;
};

void append(std::vector<MapHit>& out, std::vector<Found> found) {
    std::stable_sort(found.begin(), found.end(),
                     [](const Found& a, const Found& b) { return a.distance < b.distance; });
    for (const Found& f : found) out.push_back(f.hit);
}

void handleHit(const HitScene& s, QPointF at, std::vector<MapHit>& out) {
    const MountSign* home = s.aimed ? s.items.mount(s.aimedHome) : nullptr;
    if (!home) return;
    for (const RadioSign& r : home->radios)
        if (r.id == s.aimed &&
            apart(turnHandleAt(s.camera, s.scale, *home, r), at) <= std::max(kReachPx, 8 * s.scale))
            out.push_back({r.id, MapPart::turnHandle, -1});
}

void cornerHits(const HitScene& s, QPointF at, std::vector<MapHit>& out) {
    std::vector<Found> found;
    for (const AreaSign& a : s.items.areas()) {
        if (!s.space.selection.has(a.id)) continue; // corners are shown on chosen areas only
        for (std::size_t i = 0; i < a.area->outer.size(); ++i) {
            const double d = apart(s.camera.toScreen(a.area->outer[i]), at);
            if (d <= kReachPx) found.push_back({d, {a.id, MapPart::corner, static_cast<int>(i)}});
        }
    }
    append(out, std::move(found));
}

void mountHits(const HitScene& s, QPointF at, std::vector<MapHit>& out) {
    std::vector<Found> found;
    const PlanePoint place = s.camera.toPlane(at);
    const double reach = (SignSheet::kPlateTip * s.scale + kReachPx) * s.camera.metresPerPixel;
    for (const MountSign& m : s.items.mounts()) {
        if (std::abs(m.at.x - place.x) > reach || std::abs(m.at.y - place.y) > reach) continue;
        const QPointF c = s.camera.toScreen(m.at);
        double d = apart(c, at) <= std::max(kReachPx, 7 * s.scale) ? apart(c, at) : 1e9;
        for (const RadioSign& r : m.radios) {
            const double plate = apart(c + screenDirection(r.gridDeg) * (SignSheet::kPlateOff * s.scale), at);
            if (plate <= std::max(kReachPx - 2, 6.5 * s.scale)) d = std::min(d, plate + 2);
        }
        if (d < 1e9) found.push_back({d, {m.id, MapPart::body, -1}});
    }
    append(out, std::move(found));
}

void macroHits(const HitScene& s, QPointF at, std::vector<MapHit>& out) {
    std::vector<Found> found;
    for (const MacroSign& m : s.items.macros()) {
        const QPointF c = s.camera.toScreen(m.at);
        const double d = apart(c, at);
        if (d <= std::max(kReachPx, 9 * s.scale)) found.push_back({d, {m.id, MapPart::body, -1}});
        const double arc = std::abs(d - SignSheet::kArcRadius * s.scale);
        if (arc > 5) continue;
        const double bearing = wrap360(degrees(std::atan2(at.x() - c.x(), c.y() - at.y())));
        for (const SectorSign& sector : m.sectors)
            if (std::abs(wrap180(bearing - sector.gridDeg)) <= std::max(2.0, sector.beamDeg / 2))
                found.push_back({8 + arc, {sector.id, MapPart::body, -1}});
    }
    append(out, std::move(found));
}

void areaEdgeHits(const HitScene& s, PlanePoint place, std::vector<MapHit>& out) {
    const double reach = 7 * s.camera.metresPerPixel;
    for (const AreaSign& a : s.items.areas())
        if (a.bounds.grown(reach).contains(place) && nearestOnBoundary(*a.area, place).distanceM <= reach)
            out.push_back({a.id, MapPart::body, -1});
}

void sceneryHits(const HitScene& s, PlanePoint place, std::vector<MapHit>& out) {
    if (!s.scenery) return;
    const double reach = 6 * s.camera.metresPerPixel;
    const Box near = Box{place.x, place.y, place.x, place.y}.grown(reach);
    if (s.space.shown.on(MapLayer::lines))
        s.scenery->lines(near, [&](const OverheadLine& line) {
            if (nearestOn(line.path, place).distanceM <= reach) out.push_back({line.id, MapPart::body, -1});
        });
    if (s.space.shown.on(MapLayer::trees))
        s.scenery->trees(near, [&](const Tree& tree) {
            if (planeDistance(tree.at, place) <= tree.crownRadiusM)
                out.push_back({tree.id, MapPart::body, -1});
        });
    if (s.space.shown.on(MapLayer::buildings))
        if (const ItemId building = s.scenery->buildingAt(place))
            out.push_back({building, MapPart::body, -1});
}

} // namespace

std::vector<MapHit> hitsAt(const HitScene& s, QPointF screen) {
    std::vector<MapHit> out;
    const Shown& shown = s.space.shown;
    const PlanePoint place = s.camera.toPlane(screen);
    if (shown.on(MapLayer::smallCells)) handleHit(s, screen, out);
    if (shown.on(MapLayer::areas)) cornerHits(s, screen, out);
    if (shown.on(MapLayer::smallCells)) mountHits(s, screen, out);
    if (shown.on(MapLayer::macros)) macroHits(s, screen, out);
    if (shown.on(MapLayer::areas)) areaEdgeHits(s, place, out);
    sceneryHits(s, place, out);
    if (shown.on(MapLayer::areas))
        for (const AreaSign& a : s.items.areas()) {
            const auto known = [&](const MapHit& h) { return h.item == a.id; };
            if (a.bounds.contains(place) && contains(*a.area, place) &&
                std::none_of(out.begin(), out.end(), known))
                out.push_back({a.id, MapPart::body, -1});
        }
    return out;
}

std::vector<ItemId> itemsIn(const HitScene& s, const QRectF& screen) {
    std::vector<ItemId> out;
    const QRectF r = screen.normalized();
    const PlanePoint sw = s.camera.toPlane(r.bottomLeft()), ne = s.camera.toPlane(r.topRight());
    const Box box{sw.x, sw.y, ne.x, ne.y};
    const Shown& shown = s.space.shown;
    if (shown.on(MapLayer::smallCells))
        for (const MountSign& m : s.items.mounts())
            if (box.contains(m.at)) out.push_back(m.id);
    if (shown.on(MapLayer::macros))
        for (const MacroSign& m : s.items.macros())
            if (box.contains(m.at)) out.push_back(m.id);
    if (shown.on(MapLayer::areas))
        for (const AreaSign& a : s.items.areas())
            if (box.contains({a.bounds.x0, a.bounds.y0}) && box.contains({a.bounds.x1, a.bounds.y1}))
                out.push_back(a.id);
    std::sort(out.begin(), out.end());
    return out;
}

} // namespace fw
