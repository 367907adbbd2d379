// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/tools/tool_marks.h"

#include "text/figures.h"

#include <QCoreApplication>

#include <algorithm>
#include <cmath>

namespace fw {

QPolygonF onScreen(const Camera& camera, const Ring& ring) {
    QPolygonF out;
    out.reserve(static_cast<int>(ring.size()));
    for (const PlanePoint& at : ring) out << camera.toScreen(at);
    return out;
}

void drawSnap(QPainter& p, const Camera& camera, const WallSnap& wall, const WindowPalette& colors) {
    const QPointF a = camera.toScreen(wall.left), b = camera.toScreen(wall.right),
                  at = camera.toScreen(wall.at);
    p.setBrush(Qt::NoBrush);
    for (const bool halo : {true, false}) {
        QPen pen(halo ? colors.labelHalo : colors.ghost, halo ? 5 : 2.2);
        pen.setCapStyle(Qt::RoundCap);
        p.setPen(pen);
        p.drawLine(a, b);
        if (wall.corner)
            p.drawRect(QRectF(at.x() - 5, at.y() - 5, 10, 10));
        else {
            const QPointF out = camera.toScreen(wall.outBy(camera.metresPerPixel * 7)) - at;
            p.drawLine(at - out, at + out);
        }
    }
}

void drawTag(QPainter& p, const Camera& camera, QPointF beside, const QStringList& lines,
             const WindowPalette& colors) {
    if (lines.isEmpty()) return;
    QFont strong = p.font(), plain = p.font();
    strong.setBold(true);
    const QFontMetricsF fs(strong, p.device()), fp(plain, p.device());
    double w = 0, h = 0;
    for (int i = 0; i < lines.size(); ++i) {
        const QFontMetricsF& f = i == 0 ? fs : fp;
        w = std::max(w, f.horizontalAdvance(lines[i]));
        h += f.height();
    }
    const double pad = fp.height() * 0.35, gap = 14;
    QRectF card(beside.x() + gap, beside.y() + gap, w + 2 * pad, h + 2 * pad);
    const QSizeF map = camera.size;
    if (card.right() > map.width() - 4) card.moveRight(beside.x() - gap);
    if (card.bottom() > map.height() - 4) card.moveBottom(beside.y() - gap);
    card.moveLeft(std::max(4.0, card.left()));
    card.moveTop(std::max(4.0, card.top()));
    p.setPen(QPen(colors.line, 1));
    p.setBrush(colors.raised);
    p.drawRoundedRect(card, 4, 4);
    double y = card.top() + pad;
    for (int i = 0; i < lines.size(); ++i) {
        const QFontMetricsF& f = i == 0 ? fs : fp;
        p.setFont(i == 0 ? strong : plain);
        p.setPen(i == 0 ? colors.ink : colors.inkSoft);
        p.drawText(QRectF(card.left() + pad, y, w + 1, f.height()), Qt::AlignLeading | Qt::AlignVCenter,
                   lines[i]);
        y += f.height();
    }
    p.setFont(plain);
}

void drawBand(QPainter& p, const QRectF& band, const WindowPalette& colors) {
    QColor wash = colors.focus;
    wash.setAlpha(28);
    p.setPen(QPen(colors.focus, 1, Qt::DashLine));
    p.setBrush(wash);
    p.drawRect(band);
}

void drawKnob(QPainter& p, QPointF at, bool chosen, const WindowPalette& colors) {
    p.setPen(QPen(colors.focus, 1.5));
    p.setBrush(chosen ? colors.focus : colors.base);
    const double r = chosen ? 5 : 4;
    p.drawRect(QRectF(at.x() - r, at.y() - r, 2 * r, 2 * r));
}

void drawRing(QPainter& p, const QPolygonF& ring, bool open, const WindowPalette& colors) {
    QColor wash = colors.area;
    wash.setAlpha(36);
    p.setPen(Qt::NoPen);
    p.setBrush(wash);
    if (ring.size() > 2) p.drawPolygon(ring);
    p.setBrush(Qt::NoBrush);
    for (const bool halo : {true, false}) {
        QPen pen(halo ? colors.labelHalo : colors.area, halo ? 4.5 : 2);
        pen.setJoinStyle(Qt::RoundJoin);
        p.setPen(pen);
        p.drawPolyline(ring);
        if (ring.size() < 3) continue;
        if (open && !halo) {
            pen.setStyle(Qt::DashLine);
            p.setPen(pen);
        }
        if (!open || !halo) p.drawLine(ring.last(), ring.first());
    }
}

QString placeOnWall(const WallSnap& wall) {
    if (wall.corner)
        return wall.fromLeftM == 0 ? QCoreApplication::translate("tools", "at the left corner")
                                   : QCoreApplication::translate("tools", "at the right corner");
    return QCoreApplication::translate("tools", "%1 from the left corner, wall %2 long")
        .arg(figure(wall.fromLeftM, QStringLiteral("m")), figure(wall.wallM, QStringLiteral("m")));
}

} // namespace fw
