// SPDX-License-Identifier: GPL-3.0-or-later
// What is chosen, what turns it, and what a remedy would make of it.
#include "canvas/aim_rose.h"
#include "canvas/live_frame.h"
#include "canvas/map_view.h"

#include <QPainterPath>

namespace fw {

QPointF turnHandleAt(const Camera& camera, double scale, const MountSign& mount, const RadioSign& radio) {
    const double out =
        std::max(beamLengthPx(camera, scale) * 0.8, AimRose::kOuterPx + 14); // clear of the rose
    return camera.toScreen(mount.at) + screenDirection(radio.gridDeg) * out;
}

namespace {

void ring(LiveFrame& f, QPointF at, double radius) {
    f.p.setBrush(Qt::NoBrush);
    f.p.setPen(QPen(f.colors().labelHalo, 4.5));
    f.p.drawEllipse(at, radius, radius);
    f.p.setPen(QPen(f.colors().focus, 2));
    f.p.drawEllipse(at, radius, radius);
}

void outline(LiveFrame& f, const Polygon& area) {
    QPainterPath path;
    const auto add = [&](const Ring& r) {
        QPolygonF polygon;
        for (const PlanePoint& at : r) polygon << f.at(at);
        path.addPolygon(polygon);
        path.closeSubpath();
    };
    add(area.outer);
    for (const Ring& hole : area.holes) add(hole);
    f.p.setBrush(Qt::NoBrush);
    f.p.setPen(QPen(f.colors().focus, 2));
    f.p.drawPath(path);
}

void corners(LiveFrame& f, const CongestionArea& area) {
    f.p.setPen(QPen(f.colors().focus, 1.5));
    f.p.setBrush(f.colors().base);
    const double r = 3.5 * f.scale;
    for (const PlanePoint& p : area.area.outer) {
        const QPointF at = f.at(p);
        f.p.drawRect(QRectF(at.x() - r, at.y() - r, 2 * r, 2 * r));
    }
}

void markOne(LiveFrame& f, ItemId id) {
    const Plan& plan = f.items.plan();
    if (const MountSign* m = f.items.mount(id)) return ring(f, f.at(f.now(*m).at), 13 * f.scale);
    if (const Radio* r = plan.radios.find(id)) return markOne(f, r->mount);
    if (const SmallCell* c = plan.smallCells.find(id)) return markOne(f, c->radio);
    if (const MacroSite* s = plan.macroSites.find(id)) return ring(f, f.at(s->at), 12 * f.scale);
    if (const Sector* s = plan.sectors.find(id)) return markOne(f, s->site);
    if (const Cell* c = plan.cells.find(id)) return markOne(f, c->sector);
    if (const CongestionArea* a = plan.congestionAreas.find(id)) return corners(f, *a);
    if (const auto b = plan.scenery.building(id)) return outline(f, b->footprint);
    if (const Tree* t = plan.scenery.trees.find(id))
        return ring(f, f.at(t->at), t->crownRadiusM / f.camera.metresPerPixel + 2);
    const OverheadLine* line = plan.overheadLines.find(id);
    const Street* street = plan.streets.find(id);
    if (!line && !street) return;
    QPolygonF path;
    for (const PlanePoint& at : line ? line->path : street->path) path << f.at(at);
    f.p.setBrush(Qt::NoBrush);
    f.p.setPen(QPen(f.colors().focus, 2));
    f.p.drawPolyline(path);
}

void handle(LiveFrame& f) {
    const MountSign* home = f.items.mount(f.aimedHome);
    if (!home) return;
    const MountSign& m = f.now(*home);
    for (const RadioSign& r : m.radios) {
        if (r.id != f.aimed) continue;
        const QPointF from = f.at(m.at), knob = turnHandleAt(f.camera, f.scale, m, r);
        f.p.setPen(QPen(f.colors().accent, 1.4));
        f.p.drawLine(from + screenDirection(r.gridDeg) * (SignSheet::kPlateTip * f.scale), knob);
        f.p.setPen(QPen(f.colors().labelHalo, 3));
        f.p.setBrush(f.colors().base);
        f.p.drawEllipse(knob, 6 * f.scale, 6 * f.scale);
        f.p.setPen(QPen(f.colors().accent, 2));
        f.p.drawEllipse(knob, 5.5 * f.scale, 5.5 * f.scale);
    }
}

} // namespace

void paintSelection(LiveFrame& f) {
    for (const ItemId id : f.space.selection.items()) markOne(f, id);
    if (f.on(MapLayer::smallCells)) handle(f);
}

void paintGhost(LiveFrame& f, const Ghost& ghost) {
    if (ghost.empty()) return;
    const ItemId home = ghost.mount ? ghost.mount->id : ghost.radio->mount;
    const MountSign* known = f.items.mount(home);
    MountSign sign = known ? *known : MountSign{};
    if (ghost.mount) sign = f.items.moved(sign, &*ghost.mount, {});
    if (!known && !ghost.mount) return;
    QPen pen(f.colors().ghost, 1.8, Qt::DashLine);
    f.p.setBrush(Qt::NoBrush);
    f.p.setPen(pen);
    const QPointF at = f.at(sign.at);
    if (ghost.mount) {
        f.p.drawEllipse(at, 9 * f.scale, 9 * f.scale);
        if (known && known->at != sign.at) f.p.drawLine(f.at(known->at), at);
    }
    if (!ghost.radio) return;
    const RadioSign r = f.items.signOf(*ghost.radio, sign.at);
    const double length = beamLengthPx(f.camera, f.scale);
    const QRectF round(at - QPointF(length, length), QSizeF(2 * length, 2 * length));
    f.p.drawPie(round, static_cast<int>((90 - r.gridDeg - r.beamDeg / 2) * 16),
                static_cast<int>(r.beamDeg * 16));
    f.p.drawLine(at, at + screenDirection(r.gridDeg) * length);
}

} // namespace fw
