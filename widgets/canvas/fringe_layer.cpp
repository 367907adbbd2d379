// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/fringe_layer.h"

#include <QPainterPath>

namespace fw {

namespace {

QPolygonF onScreen(const Ring& ring, const Camera& camera) {
    QPolygonF out;
    out.reserve(static_cast<int>(ring.size()) + 1);
    for (const PlanePoint& p : ring) out << camera.toScreen(p);
    if (!out.isEmpty()) out << out.first();
    return out;
}

} // namespace

void FringeLayer::paint(QPainter& painter, const Camera& camera, const WindowPalette& colors) const {
    if (!m_space.shown.on(MapLayer::fringes) || m_space.fringes.maps().empty()) return;
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing);
    QPen pen(colors.area, 2, Qt::DashLine);
    pen.setCosmetic(true);
    QColor hatch = colors.area;
    hatch.setAlpha(90);
    const Box seen = camera.visible();
    for (const FringeMap& map : m_space.fringes.maps())
        for (const Polygon& area : map.areas) {
            if (!boundsOf(area).meets(seen)) continue;
            QPainterPath path;
            path.setFillRule(Qt::OddEvenFill);
            path.addPolygon(onScreen(area.outer, camera));
            for (const Ring& hole : area.holes) path.addPolygon(onScreen(hole, camera));
            painter.fillPath(path, QBrush(hatch, Qt::BDiagPattern));
            painter.strokePath(path, pen);
        }
    painter.restore();
}

} // namespace fw
