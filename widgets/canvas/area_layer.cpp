// SPDX-License-Identifier: GPL-3.0-or-later
// Congestion areas: an outline whose short ticks say which side is meant, over a faint wash.
#include "canvas/live_frame.h"

#include <QPainterPath>

#include <cmath>

namespace fw {

namespace {

/// The part of a-b inside a rectangle, as fractions; empty when none.
bool clipped(QPointF a, QPointF b, const QRectF& r, double& from, double& to) {
    from = 0;
    to = 1;
    const QPointF d = b - a;
    const auto cut = [&](double p, double q) {
        if (p == 0) return q >= 0;
        const double t = q / p;
        if (p < 0)
            from = std::max(from, t);
        else
            to = std::min(to, t);
        return from <= to;
    };
    return cut(-d.x(), a.x() - r.left()) && cut(d.x(), r.right() - a.x()) && cut(-d.y(), a.y() - r.top()) &&
           cut(d.y(), r.bottom() - a.y());
}

/// Rings run so that their inside lies to the left, seen with north up.
void addTicks(const QPolygonF& ring, const QRectF& view, double stepPx, double lengthPx,
              QVector<QLineF>& out) {
    double carried = stepPx / 2;
    for (int i = 0; i < ring.size(); ++i) {
        const QPointF a = ring[i], d = ring[(i + 1) % ring.size()] - a;
        const double length = std::hypot(d.x(), d.y());
        if (length < 1e-6) continue;
        const QPointF along = d / length, inward(along.y(), -along.x());
        double from = 0, to = 1;
        if (clipped(a, a + d, view, from, to)) {
            const double first =
                carried + std::max(0.0, std::ceil((from * length - carried) / stepPx)) * stepPx;
            for (double t = first; t < to * length; t += stepPx) {
                const QPointF foot = a + along * t;
                out.append(QLineF(foot, foot + (inward + along * 0.55) * lengthPx));
            }
        }
        carried = std::fmod(carried - length, stepPx);
        if (carried < 0) carried += stepPx;
    }
}

QPolygonF onScreen(const LiveFrame& f, const Ring& ring) {
    QPolygonF out;
    out.reserve(static_cast<int>(ring.size()));
    for (const PlanePoint& p : ring) out << f.at(p);
    return out;
}

} // namespace

void paintAreas(LiveFrame& f) {
    if (!f.on(MapLayer::areas)) return;
    const QRectF view = QRectF(QPointF(0, 0), f.camera.size).adjusted(-12, -12, 12, 12);
    QPainter& p = f.p;
    QColor wash = f.colors().area, tick = f.colors().area;
    wash.setAlpha(f.colors().dark ? 30 : 18);
    tick.setAlpha(150);
    QVector<QLineF> ticks;
    for (const AreaSign& a : f.items.areas()) {
        if (!a.bounds.meets(f.seen)) continue;
        std::vector<QPolygonF> rings{onScreen(f, a.area->outer)};
        for (const Ring& hole : a.area->holes) rings.push_back(onScreen(f, hole));
        p.setPen(Qt::NoPen);
        p.setBrush(wash);
        p.setRenderHint(QPainter::Antialiasing, false);
        if (rings.size() == 1) {
            p.drawPolygon(rings[0]);
        } else {
            QPainterPath path;
            for (const QPolygonF& ring : rings) {
                path.addPolygon(ring);
                path.closeSubpath();
            }
            p.drawPath(path);
        }
        p.setRenderHint(QPainter::Antialiasing, true);
        const bool chosen = f.space.selection.has(a.id);
        ticks.clear();
        for (const QPolygonF& ring : rings) addTicks(ring, view, 9 * f.scale + 3, 5 * f.scale + 1, ticks);
        p.setBrush(Qt::NoBrush);
        p.setPen(QPen(tick, 1));
        p.drawLines(ticks);
        p.setPen(QPen(chosen ? f.colors().focus : f.colors().area, chosen ? 2.6 : 1.6));
        for (const QPolygonF& ring : rings) p.drawPolygon(ring);
    }
}

} // namespace fw
