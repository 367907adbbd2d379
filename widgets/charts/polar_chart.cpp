// SPDX-License-Identifier: GPL-3.0-or-later
#include "charts/polar_chart.h"

#include "text/figures.h"
#include "theme/window_palette.h"

#include <QEvent>
#include <QHelpEvent>
#include <QPainter>
#include <QPainterPath>
#include <QToolTip>

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

constexpr double kFloorDb = 30; // in the middle
constexpr double kRings[] = {3, 10, 20};
constexpr int kGap = 8;

QString degText(double deg) { return figure(deg, QStringLiteral("°"), 1); }

} // namespace

PolarChart::PolarChart(QWidget* parent) : QWidget(parent) {
    setAccessibleName(tr("Antenna, its cuts across and upright"));
    QSizePolicy policy(QSizePolicy::Preferred, QSizePolicy::Fixed);
    policy.setHeightForWidth(true);
    setSizePolicy(policy);
}

void PolarChart::setAntenna(const std::optional<HungAntenna>& antenna) {
    m_cuts.reset();
    if (antenna) {
        m_cuts = cutsOf(*antenna);
        m_mechanicalDeg = antenna->mechanicalTiltDeg;
        m_electricalDeg = antenna->electricalTiltDeg;
    }
    setAccessibleDescription(m_cuts ? lineText(true) + QStringLiteral(". ") + lineText(false) : QString());
    update();
}

QString PolarChart::lineText(bool across) const {
    if (!m_cuts) return {};
    const auto width = [](double deg, double round) {
        return deg >= round ? tr("the same all round") : tr("half power %1").arg(degText(deg));
    };
    if (across)
        return tr("Across: %1, front to back %2")
            .arg(width(m_cuts->halfPower.horizontalDeg, 360),
                 figure(m_cuts->frontToBackDb, QStringLiteral("dB"), 1));
    QStringList parts{tr("bracket %1").arg(degText(m_mechanicalDeg)),
                      tr("electrical %1").arg(degText(m_electricalDeg))};
    if (m_cuts->ownTiltDeg != 0) parts << tr("in the measured cut %1").arg(degText(m_cuts->ownTiltDeg));
    return tr("Upright: %1, tilt %2 (%3)")
        .arg(width(m_cuts->halfPower.verticalDeg, 180), degText(m_cuts->tiltDeg),
             parts.join(QStringLiteral(", ")));
}

int PolarChart::captionHeight() const { return fontMetrics().height() + 4; }

QRectF PolarChart::disc(bool across) const {
    const double side =
        std::max(20.0, std::min((width() - 3.0 * kGap) / 2, height() - captionHeight() - 4.0));
    const double room = (width() - kGap) / 2.0;
    const bool left = across != isRightToLeft();
    const double middle = left ? room / 2 : width() - room / 2;
    return {middle - side / 2, static_cast<double>(captionHeight()), side, side};
}

QPointF PolarChart::pointOf(bool across, double deg, double lossDb) const {
    const QRectF r = disc(across);
    const double out = r.width() / 2 * (1 - std::clamp(lossDb, 0.0, kFloorDb) / kFloorDb);
    const double a = radians(deg);
    // Seen from above boresight points up; from the side the front points right and below the horizon is
    // down.
    return across ? r.center() + QPointF(out * std::sin(a), -out * std::cos(a))
                  : r.center() + QPointF(out * std::cos(a), out * std::sin(a));
}

void PolarChart::drawDisc(QPainter& p, bool across) const {
    const WindowPalette& c = windowPalette(palette());
    const QRectF r = disc(across);
    p.setPen(QPen(c.line, 1));
    p.setBrush(c.raised);
    p.drawEllipse(r);
    p.setBrush(Qt::NoBrush);
    for (const double ring : kRings) {
        const double out = r.width() / 2 * (1 - ring / kFloorDb);
        p.drawEllipse(r.center(), out, out);
    }
    for (int deg = 0; deg < 360; deg += 30)
        p.drawLine(pointOf(across, deg, kFloorDb), pointOf(across, deg, 0));
    p.setPen(c.inkSoft);
    const QRectF caption(r.center().x() - (width() - kGap) / 4.0, 0, (width() - kGap) / 2.0, captionHeight());
    p.drawText(caption, Qt::AlignCenter, across ? tr("Across") : tr("Upright"));
}

void PolarChart::drawWedge(QPainter& p, bool across) const {
    const WindowPalette& c = windowPalette(palette());
    const double wide = across ? m_cuts->halfPower.horizontalDeg : m_cuts->halfPower.verticalDeg;
    if (wide >= (across ? 360 : 180)) return;
    const auto& cut = across ? m_cuts->horizontal : m_cuts->vertical;
    const auto peak = static_cast<double>(std::min_element(cut.begin(), cut.end()) - cut.begin());
    const double middle = across ? peak : m_cuts->tiltDeg;
    QPainterPath wedge(disc(across).center());
    for (double k = -0.5; k <= 0.501; k += 0.05) wedge.lineTo(pointOf(across, middle + k * wide, 0));
    wedge.closeSubpath();
    p.fillPath(wedge, c.accentWash);
}

void PolarChart::drawTilts(QPainter& p) const {
    const WindowPalette& c = windowPalette(palette());
    const QPointF middle = disc(false).center();
    p.setPen(QPen(c.inkSoft, 1, Qt::DashLine));
    p.drawLine(middle, pointOf(false, 0, 0)); // the horizon
    if (m_mechanicalDeg != 0 && m_electricalDeg != 0) {
        p.setPen(QPen(c.inkSoft, 1, Qt::DotLine));
        p.drawLine(middle, pointOf(false, m_mechanicalDeg, 0));
    }
    p.setPen(QPen(c.ink, 1.5));
    p.drawLine(middle, pointOf(false, m_cuts->tiltDeg, 0));
}

void PolarChart::drawCut(QPainter& p, bool across) const {
    const WindowPalette& c = windowPalette(palette());
    const auto draw = [&](const std::array<double, 360>& cut, const QPen& pen) {
        QPolygonF line;
        for (int deg = 0; deg < 360; ++deg) line << pointOf(across, deg, cut[static_cast<std::size_t>(deg)]);
        p.setPen(pen);
        p.drawPolygon(line);
    };
    if (!across && m_cuts->tiltDeg != 0) draw(m_cuts->untilted, QPen(c.inkFaint, 1, Qt::DotLine));
    draw(across ? m_cuts->horizontal : m_cuts->vertical, QPen(c.accent, 1.75));
}

void PolarChart::paintEvent(QPaintEvent*) {
    if (!m_cuts) return;
    QPainter p(this);
    p.setRenderHint(QPainter::Antialiasing);
    for (const bool across : {true, false}) {
        drawDisc(p, across);
        drawWedge(p, across);
        if (!across) drawTilts(p);
        p.setBrush(Qt::NoBrush);
        drawCut(p, across);
    }
}

bool PolarChart::event(QEvent* e) {
    if (e->type() == QEvent::ToolTip && m_cuts) {
        const auto* help = static_cast<QHelpEvent*>(e);
        const bool across = disc(true).contains(help->pos());
        const QString rings = tr("Rings: 3, 10 and 20 dB below the peak of %1")
                                  .arg(figure(m_cuts->gainDbi, QStringLiteral("dBi"), 1));
        QToolTip::showText(help->globalPos(), lineText(across) + QLatin1Char('\n') + rings, this);
        return true;
    }
    return QWidget::event(e);
}

void PolarChart::changeEvent(QEvent* e) {
    QWidget::changeEvent(e);
    if (e->type() == QEvent::PaletteChange || e->type() == QEvent::FontChange) update();
}

int PolarChart::heightForWidth(int width) const {
    return captionHeight() + std::min((width - 3 * kGap) / 2, fontMetrics().height() * 12) + 4;
}
QSize PolarChart::sizeHint() const {
    const int wide = fontMetrics().averageCharWidth() * 34;
    return {wide, heightForWidth(wide)};
}
QSize PolarChart::minimumSizeHint() const { return {fontMetrics().height() * 8, fontMetrics().height() * 5}; }

} // namespace fw
