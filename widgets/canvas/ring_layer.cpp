// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/ring_layer.h"

#include "text/figures.h"

#include <QCoreApplication>
#include <QFontMetricsF>
#include <QPainterPath>

#include <algorithm>
#include <cmath>
#include <map>

namespace fw {

namespace {

constexpr double kDotPx = 5;
constexpr double kNothingPoints = 0.05; // what is written as 0.0

class RingWords {
    Q_DECLARE_TR_FUNCTIONS(RingLayer)
};

void writeHaloed(QPainter& p, QPointF at, const QString& text, const WindowPalette& c) {
    QPainterPath path;
    path.addText(at, p.font(), text);
    p.strokePath(path, QPen(c.labelHalo, 3.2, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
    p.fillPath(path, c.ink);
}

} // namespace

void RingLayer::setRing(std::optional<SearchRing> ring, PlanePoint at, const QString& name) {
    m_ring = std::move(ring);
    m_at = at;
    m_name = name;
    double most = 0;
    if (m_ring)
        for (const SearchRing::Sample& s : m_ring->samples) most = std::max(most, s.lostPoints);
    m_step = roundStep(std::max(0.2, most / 5));
    m_classes = std::max(1, static_cast<int>(std::ceil(most / m_step - 1e-9)));
}

void RingLayer::clear() {
    m_ring.reset();
    m_ranks.clear();
}

int RingLayer::classOf(double lostPoints) const {
    if (lostPoints < kNothingPoints) return 0;
    return std::clamp(static_cast<int>(std::ceil(lostPoints / m_step - 1e-9)), 1, m_classes);
}

QString RingLayer::classText(int cls) const {
    if (cls == 0) return RingWords::tr("nothing, or a gain");
    return RingWords::tr("%1 to %2").arg(figure((cls - 1) * m_step, {}, 1), figure(cls * m_step, {}, 1));
}

void RingLayer::paintDot(QPainter& p, QPointF at, int cls, const WindowPalette& c, double radius) const {
    p.setPen(QPen(c.labelHalo, 3.4));
    p.setBrush(Qt::NoBrush);
    p.drawEllipse(at, radius, radius);
    p.setPen(QPen(c.ink, 1.2));
    // The palest stops of the ramp are too near to the ground.
    p.setBrush(cls == 0 ? c.base : along(c.amount, 0.25 + 0.75 * cls / m_classes));
    p.drawEllipse(at, radius, radius);
}

void RingLayer::paint(QPainter& p, const Camera& camera, const WindowPalette& c) const {
    if (m_ring) {
        std::map<std::string, QPolygonF> ways; // from where it stands outwards
        for (const SearchRing::Sample& s : m_ring->samples) {
            QPolygonF& way = ways[s.towards];
            if (way.isEmpty()) way << camera.toScreen(m_at);
            way << camera.toScreen(s.at);
        }
        p.setBrush(Qt::NoBrush);
        for (const bool halo : {true, false}) {
            p.setPen(halo ? QPen(c.labelHalo, 4) : QPen(c.inkSoft, 1.2));
            for (const auto& [towards, way] : ways) p.drawPolyline(way);
        }
        std::map<std::string, const SearchRing::Sample*> ends;
        for (const SearchRing::Sample& s : m_ring->samples) {
            paintDot(p, camera.toScreen(s.at), classOf(s.lostPoints), c, kDotPx);
            ends[s.towards] = &s;
        }
        for (const auto& [towards, s] : ends) { // figures at the ends
            const QString text = signedFigure(-s->lostPoints, {}, 1);
            writeHaloed(
                p, camera.toScreen(s->at) + QPointF(kDotPx + 4, QFontMetricsF(p.font()).ascent() / 2 - 1),
                text, c);
        }
    }
    for (const Rank& r : m_ranks) writeHaloed(p, camera.toScreen(r.at) + QPointF(14, -10), r.text, c);
}

void RingLayer::paintLegend(QPainter& p, const Camera& camera, const WindowPalette& c,
                            Qt::LayoutDirection direction) const {
    if (!m_ring || m_ring->samples.empty()) return;
    const QFontMetricsF m(p.font());
    const double line = m.height() + 2, pad = 8, radius = m.ascent() * 0.36, dot = 2 * radius;
    const QString head = RingWords::tr("Shifted from %1").arg(m_name),
                  foot = RingWords::tr("relief given up, points");
    double wide = std::max(m.horizontalAdvance(head), m.horizontalAdvance(foot));
    for (int k = 0; k <= m_classes; ++k) wide = std::max(wide, dot + 8 + m.horizontalAdvance(classText(k)));
    const QSizeF size(std::min(wide + 2 * pad, camera.size.width() - 20), (m_classes + 3) * line + 2 * pad);
    const bool rtl = direction == Qt::RightToLeft;
    const QRectF card(QPointF(rtl ? 10 : camera.size.width() - size.width() - 10,
                              camera.size.height() - size.height() - 10),
                      size);
    p.setPen(c.line);
    p.setBrush(c.raised);
    p.drawRoundedRect(card, 5, 5);
    const QRectF inner = card.adjusted(pad, pad, -pad, -pad);
    const auto row = [&](int k) { return QRectF(inner.left(), inner.top() + k * line, inner.width(), line); };
    const auto near = Qt::AlignAbsolute | Qt::AlignVCenter | (rtl ? Qt::AlignRight : Qt::AlignLeft);
    p.setPen(c.ink);
    p.drawText(row(0), near, m.elidedText(head, Qt::ElideRight, inner.width()));
    p.setPen(c.inkSoft);
    p.drawText(row(1), near, m.elidedText(foot, Qt::ElideRight, inner.width()));
    for (int k = 0; k <= m_classes; ++k) {
        const QRectF r = row(k + 2);
        const double x = rtl ? r.right() - radius - 1 : r.left() + radius + 1;
        p.setPen(QPen(c.ink, 1.2));
        paintDot(p, {x, r.center().y()}, k, c, radius);
        p.setPen(c.ink);
        p.drawText(rtl ? r.adjusted(0, 0, -dot - 8, 0) : r.adjusted(dot + 8, 0, 0, 0), near, classText(k));
    }
}

QString RingLayer::textAt(const Camera& camera, PlanePoint at) const {
    if (!m_ring) return {};
    const SearchRing::Sample* best = nullptr;
    double nearest = (kDotPx + 3) * camera.metresPerPixel;
    for (const SearchRing::Sample& s : m_ring->samples) {
        const double d = planeDistance(s.at, at);
        if (d > nearest) continue;
        nearest = d;
        best = &s;
    }
    if (!best) return {};
    const QString points =
        RingWords::tr("%1 points of relief").arg(figure(std::fabs(best->lostPoints), {}, 1));
    //: %1 a distance, %2 a direction in words, %3 an amount with its unit
    return (best->lostPoints >= 0 ? RingWords::tr("%1 to the %2: gives up %3")
                                  : RingWords::tr("%1 to the %2: brings %3 more"))
        .arg(distance(best->metres), coreText(best->towards), points);
}

} // namespace fw
