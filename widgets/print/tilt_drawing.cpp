// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/tilt_drawing.h"

#include <QPainterPath>

#include <cmath>

namespace fw {

namespace {

QPointF towards(QPointF from, double downDeg, double mm) {
    return {from.x() + mm * std::cos(radians(downDeg)), from.y() + mm * std::sin(radians(downDeg))};
}

void drawSupport(Paper& paper, MountKind kind, QPointF a, const QRectF& frame) {
    QPainter& p = paper.painter();
    const PaperPalette& c = paper.colors();
    p.setPen(Qt::NoPen);
    p.setBrush(c.blockTall);
    const double back = a.x() - 2.2;
    if (kind == MountKind::pole) p.drawRect(QRectF(back - 1, frame.top() + 1, 1, frame.height() - 2));
    if (kind == MountKind::wall)
        p.drawRect(QRectF(frame.left(), frame.top() + 1, back - frame.left(), frame.height() - 2));
    if (kind == MountKind::parapet) {
        p.drawRect(
            QRectF(frame.left(), a.y() + 2.2, back + 1.4 - frame.left(), frame.bottom() - a.y() - 3.2));
        p.drawRect(QRectF(back - 1, a.y() - 2, 1, 5));
    }
    if (kind == MountKind::roof) {
        p.drawRect(QRectF(frame.left(), a.y() + 4.5, back + 4 - frame.left(), frame.bottom() - a.y() - 5.5));
        p.drawRect(QRectF(back - 1, a.y() - 2, 1, 7));
    }
    p.setBrush(Qt::NoBrush);
}

} // namespace

void drawTilt(Paper& paper, const RadioSheet& radio, MountKind kind, const QRectF& frame) {
    QPainter& p = paper.painter();
    const PaperPalette& c = paper.colors();
    paper.place(frame, "tilt drawing");
    p.save();
    p.setClipRect(frame);
    const QPointF a(frame.left() + 8, frame.top() + frame.height() * (radio.tiltDeg < 0 ? 0.6 : 0.4));
    drawSupport(paper, kind, a, frame);
    const double reach = frame.right() - a.x() - 1;
    QPainterPath beam(a);
    beam.arcTo(QRectF(a.x() - reach, a.y() - reach, 2 * reach, 2 * reach),
               -radio.tiltDeg + radio.vBeamDeg / 2, -radio.vBeamDeg);
    beam.closeSubpath();
    p.setPen(Qt::NoPen);
    p.setBrush(c.accentWash);
    p.drawPath(beam);
    QPen level = paper.pen(c.inkSoft, 0.15);
    level.setDashPattern({5, 3});
    p.setPen(level);
    p.drawLine(a, QPointF(frame.right(), a.y()));
    p.setPen(paper.pen(c.accent, 0.35));
    p.drawLine(a, towards(a, radio.tiltDeg, reach));
    p.translate(a);
    p.rotate(radio.tiltDeg);
    p.setPen(Qt::NoPen);
    p.setBrush(c.ink);
    p.drawRect(QRectF(-2.2, -0.3, 1.6, 0.6));
    p.drawRoundedRect(QRectF(-0.9, -2.8, 1.4, 5.6), 0.3, 0.3);
    p.restore();
    p.setPen(paper.pen(c.hairline, 0.15));
    p.setBrush(Qt::NoBrush);
    p.drawRect(frame);
}

} // namespace fw
