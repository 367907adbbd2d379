// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/corner_marks.h"

#include "text/figures.h"

#include <QCoreApplication>
#include <QFontMetricsF>
#include <QPainterPath>

#include <cmath>

namespace fw {

double roundLength(double most) {
    const double power = std::pow(10, std::floor(std::log10(most)));
    for (const double k : {5.0, 2.0})
        if (k * power <= most) return k * power;
    return power;
}

namespace {

QString northText(double convergenceDeg) {
    // True azimuth is grid azimuth plus convergence: where that is positive, true north lies to the west.
    const QString by = bearing(std::abs(convergenceDeg), 1);
    if (std::abs(convergenceDeg) < 0.05)
        return QCoreApplication::translate("CornerMarks", "Grid and true north");
    return convergenceDeg > 0
               ? QCoreApplication::translate("CornerMarks", "Grid north; true north %1 to the west").arg(by)
               : QCoreApplication::translate("CornerMarks", "Grid north; true north %1 to the east").arg(by);
}

QString lengthText(double metres) {
    return metres < 1      ? figure(metres * 100, QStringLiteral("cm"), 0)
           : metres < 1000 ? figure(metres, QStringLiteral("m"), 0)
                           : figure(metres / 1000, QStringLiteral("km"), 0);
}

} // namespace

QPixmap CornerMarks::draw(const LiveFrame& f, double pixelRatio) const {
    QFont font = f.signs.font();
    if (font.pixelSize() > 0) font.setPixelSize(std::max(9, font.pixelSize() * 9 / 10));
    const QFontMetricsF metrics(font);
    const double metres = roundLength(metrics.height() * 8 * f.camera.metresPerPixel),
                 bar = metres / f.camera.metresPerPixel;
    const QString length = lengthText(metres), north = northText(m_convergenceDeg);
    const double arrow = metrics.height() * 1.6, pad = 6, gap = 10;
    const double text = std::max(bar, metrics.horizontalAdvance(length));
    const double w = pad * 2 + arrow * 0.7 + gap + std::max(text, metrics.horizontalAdvance(north)),
                 h = pad * 2 + metrics.height() * 2 + 7;
    QPixmap out(static_cast<int>(std::ceil(w * pixelRatio)), static_cast<int>(std::ceil(h * pixelRatio)));
    out.setDevicePixelRatio(pixelRatio);
    out.fill(Qt::transparent);
    QPainter p(&out);
    p.setRenderHint(QPainter::Antialiasing);
    QColor card = f.colors().raised;
    card.setAlpha(225);
    p.setPen(Qt::NoPen);
    p.setBrush(card);
    p.drawRoundedRect(QRectF(0, 0, w, h), 4, 4);
    const QPointF foot(pad + arrow * 0.35, h / 2 + arrow / 2);
    p.setBrush(f.colors().ink);
    p.drawPolygon(QPolygonF(
        {foot - QPointF(0, arrow), foot + QPointF(arrow * 0.26, 0), foot - QPointF(0, arrow * 0.22)}));
    p.setBrush(Qt::NoBrush);
    p.setPen(QPen(f.colors().ink, 1.1));
    p.drawPolygon(QPolygonF(
        {foot - QPointF(0, arrow), foot - QPointF(arrow * 0.26, 0), foot - QPointF(0, arrow * 0.22)}));
    const double x = pad + arrow * 0.7 + gap, y = pad + metrics.height() + 4;
    p.setFont(font);
    p.setPen(f.colors().ink);
    p.drawText(QPointF(x, pad + metrics.ascent()), length);
    p.setPen(QPen(f.colors().ink, 1.5));
    p.drawPolyline(QPolygonF({{x, y - 4}, {x, y}, {x + bar, y}, {x + bar, y - 4}}));
    p.setPen(f.colors().inkSoft);
    p.drawText(QPointF(x, y + 3 + metrics.ascent()), north);
    return out;
}

void CornerMarks::paint(LiveFrame& f, Qt::LayoutDirection direction, double pixelRatio) {
    if (m_picture.isNull() || m_metresPerPixel != f.camera.metresPerPixel || m_pixelRatio != pixelRatio ||
        planeDistance(m_centre, f.camera.centre) > 1000) {
        m_metresPerPixel = f.camera.metresPerPixel;
        m_pixelRatio = pixelRatio;
        m_centre = f.camera.centre;
        m_convergenceDeg = f.items.convergenceDeg(m_centre);
        m_picture = draw(f, pixelRatio);
    }
    const QSizeF size = QSizeF(m_picture.size()) / pixelRatio;
    const double margin = 10;
    const double x = direction == Qt::RightToLeft ? f.camera.size.width() - margin - size.width() : margin;
    f.p.drawPixmap(QPointF(std::round(x), std::round(f.camera.size.height() - margin - size.height())),
                   m_picture);
}

} // namespace fw
