// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/symbols.h"

#include <QPainterPath>

#include <qrencode.h>

#include <cmath>
#include <memory>

namespace fw {

namespace {

QPointF along(QPointF from, double upDeg, double mm) {
    const double a = radians(upDeg);
    return {from.x() + mm * std::sin(a), from.y() - mm * std::cos(a)};
}

// Qt counts angles anticlockwise from three o'clock, in degrees for paths.
double qtAngle(double upDeg) { return 90 - upDeg; }

QRectF around(QPointF c, double r) { return {c.x() - r, c.y() - r, 2 * r, 2 * r}; }

} // namespace

void drawSeverity(Paper& paper, const QRectF& box, Severity severity) {
    QPainter& p = paper.painter();
    const double pen = 0.3;
    const QRectF r = box.adjusted(pen / 2, pen / 2, -pen / 2, -pen / 2);
    p.setPen(paper.pen(paper.colors().ink, pen));
    p.setBrush(severity == Severity::block ? QBrush(paper.colors().ink) : QBrush(Qt::NoBrush));
    p.drawRect(r);
    if (severity == Severity::warn)
        p.fillRect(QRectF(r.left(), r.top(), r.width() / 2, r.height()), paper.colors().ink);
    p.setBrush(Qt::NoBrush);
}

void drawMast(Paper& paper, QPointF at, double size, const std::vector<std::pair<double, double>>& beams) {
    QPainter& p = paper.painter();
    QPen pen = paper.pen(paper.colors().ink, size * 0.11);
    pen.setCapStyle(Qt::RoundCap);
    p.setPen(pen);
    p.setBrush(Qt::NoBrush);
    p.drawLine(at, at - QPointF(0, size * 0.62));
    p.drawLine(at - QPointF(size * 0.2, 0), at + QPointF(size * 0.2, 0));
    for (const auto& [deg, width] : beams) {
        QPainterPath arc;
        const QRectF circle = around(at, size);
        arc.arcMoveTo(circle, qtAngle(deg - width / 2));
        arc.arcTo(circle, qtAngle(deg - width / 2), -width);
        p.drawPath(arc);
    }
}

void drawPlate(Paper& paper, QPointF at, double size, double upDeg, MountKind kind) {
    QPainter& p = paper.painter();
    p.save();
    p.translate(at);
    p.rotate(upDeg);
    p.setPen(paper.pen(paper.colors().paper, size * 0.1));
    p.setBrush(paper.colors().accent);
    const double w = size * 0.5;
    p.drawPolygon(QPolygonF({QPointF(-w, 0), QPointF(-w, -size * 0.3), QPointF(0, -size),
                             QPointF(w, -size * 0.3), QPointF(w, 0)}));
    p.setBrush(paper.colors().ink);
    const QPen ink = paper.pen(paper.colors().ink, size * 0.16);
    switch (kind) {
    case MountKind::pole:
        p.setPen(Qt::NoPen);
        p.drawEllipse(QPointF(0, size * 0.2), size * 0.2, size * 0.2);
        break;
    case MountKind::wall:
        p.setPen(ink);
        p.drawLine(QPointF(-size * 0.7, size * 0.14), QPointF(size * 0.7, size * 0.14));
        break;
    case MountKind::parapet:
        p.setPen(ink);
        p.drawPolyline(QPolygonF({QPointF(-size * 0.7, size * 0.45), QPointF(-size * 0.7, size * 0.14),
                                  QPointF(size * 0.7, size * 0.14), QPointF(size * 0.7, size * 0.45)}));
        break;
    case MountKind::roof:
        p.setPen(Qt::NoPen);
        p.drawRect(QRectF(-size * 0.24, size * 0.02, size * 0.48, size * 0.48));
        break;
    }
    p.restore();
    p.setBrush(Qt::NoBrush);
}

void drawBeam(Paper& paper, QPointF at, double reach, double upDeg, double widthDeg) {
    QPainter& p = paper.painter();
    QColor fill = paper.colors().accent;
    fill.setAlphaF(0.16F);
    QPainterPath wedge(at);
    wedge.arcTo(around(at, reach), qtAngle(upDeg - widthDeg / 2), -widthDeg);
    wedge.closeSubpath();
    p.setPen(Qt::NoPen);
    p.setBrush(fill);
    p.drawPath(wedge);
    p.setPen(paper.pen(paper.colors().accent, 0.25));
    p.setBrush(Qt::NoBrush);
    p.drawLine(at, along(at, upDeg - widthDeg / 2, reach));
    p.drawLine(at, along(at, upDeg + widthDeg / 2, reach));
    QPen bore = paper.pen(paper.colors().accent, 0.3);
    bore.setDashPattern({6, 3});
    p.setPen(bore);
    p.drawLine(at, along(at, upDeg, reach * 1.08));
}

void drawBadge(Paper& paper, QPointF centre, const QString& text, double size, bool filled) {
    QPainter& p = paper.painter();
    p.setPen(paper.pen(filled ? paper.colors().paper : paper.colors().accentText, 0.25));
    p.setBrush(filled ? paper.colors().accentText : paper.colors().paper);
    p.drawEllipse(centre, size / 2, size / 2);
    p.setBrush(Qt::NoBrush);
    // The size of the figures is the ring's: 1 pt is 0.353 mm, and figures are 0.71 of their size high.
    TextStyle style{size * (text.size() > 2 ? 1.3 : 1.65), true,
                    filled ? paper.colors().paper : paper.colors().accentText};
    style.maxLines = 1;
    const LaidText laid(text, 100, style);
    laid.draw(p, QPointF(centre.x() - laid.widthMm() / 2, centre.y() - laid.heightMm() / 2));
}

void drawNorth(Paper& paper, QPointF centre, double size, double upDeg) {
    paper.record().northsDeg.push_back(upDeg);
    QPainter& p = paper.painter();
    p.save();
    p.translate(centre);
    p.rotate(upDeg);
    p.setPen(paper.pen(paper.colors().ink, 0.25));
    p.setBrush(paper.colors().ink);
    p.drawPolygon(QPolygonF({QPointF(0, -size / 2), QPointF(-size * 0.16, size * 0.1), QPointF(0, 0)}));
    p.setBrush(paper.colors().paper);
    p.drawPolygon(QPolygonF({QPointF(0, -size / 2), QPointF(size * 0.16, size * 0.1), QPointF(0, 0)}));
    p.drawLine(QPointF(0, 0), QPointF(0, size / 2));
    p.restore();
    p.setBrush(Qt::NoBrush);
}

QrModules qrModules(const std::string& text) {
    const std::unique_ptr<QRcode, void (*)(QRcode*)> code(
        QRcode_encodeString8bit(text.c_str(), 0, QR_ECLEVEL_M), QRcode_free);
    QrModules out;
    if (!code) return out;
    out.side = code->width;
    for (int i = 0; i < code->width * code->width; ++i) out.dark.push_back((code->data[i] & 1) != 0);
    return out;
}

bool drawQr(Paper& paper, const QRectF& box, const std::string& text) {
    const QrModules qr = qrModules(text);
    if (qr.side == 0) return false;
    const double module = std::min(box.width(), box.height()) / (qr.side + 8);
    QPainterPath path;
    for (int row = 0; row < qr.side; ++row)
        for (int from = 0; from < qr.side;) {
            const auto darkAt = [&](int col) {
                return col < qr.side && qr.dark[static_cast<std::size_t>(row * qr.side + col)];
            };
            int to = from;
            while (darkAt(to)) ++to;
            // Runs a little taller than a row, so that no viewer shows a seam between rows.
            if (to > from)
                path.addRect(box.left() + (from + 4) * module, box.top() + (row + 4) * module,
                             (to - from) * module, module * 1.01);
            from = to + 1;
        }
    path.setFillRule(Qt::WindingFill);
    QPainter& p = paper.painter();
    p.fillRect(box, Qt::white);
    p.fillPath(path, Qt::black);
    return true;
}

} // namespace fw
