// SPDX-License-Identifier: GPL-3.0-or-later
// Streets of a tile: kerbs, surface, and names along the longest straight piece.
#include "canvas/tile_picture.h"

#include <QFontMetricsF>
#include <QPainter>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

struct Drawn {
    QPolygonF path;
    double widthPx;
    const Street* street;
};

void stroke(QPainter& p, const Drawn& d, const QColor& color, double widthPx) {
    p.setPen(QPen(color, widthPx, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
    p.drawPolyline(d.path);
}

/// Writes a street's name where it runs straight for longest, so that every tile puts it at the same place.
void writeName(QPainter& p, const Drawn& d, const QFontMetricsF& metrics) {
    const QString name = QString::fromStdString(d.street->name);
    int best = -1;
    double longest = 0;
    for (int i = 0; i + 1 < d.path.size(); ++i) {
        const QPointF v = d.path[i + 1] - d.path[i];
        const double length = std::hypot(v.x(), v.y());
        if (length > longest) longest = length, best = i;
    }
    const double width = metrics.horizontalAdvance(name);
    if (best < 0 || width + metrics.height() * 2 > longest) return;
    const QPointF a = d.path[best], b = d.path[best + 1], along = (b - a) / longest;
    double turn = std::atan2(along.y(), along.x()) * 180 / kPi;
    if (turn > 90) turn -= 180;
    if (turn <= -90) turn += 180;
    // A long street says its name again and again.
    const double gap = std::max(width * 4, 700 * p.device()->devicePixelRatioF());
    const int times = std::max(1, static_cast<int>(longest / gap));
    for (int k = 0; k < times; ++k) {
        const QPointF c = a + along * (longest * (k + 0.5) / times);
        if (c.x() < -width || c.y() < -width || c.x() > kTilePx + width || c.y() > kTilePx + width) continue;
        p.save();
        p.translate(c);
        p.rotate(turn);
        p.drawText(QPointF(-width / 2, (metrics.ascent() - metrics.descent()) / 2), name);
        p.restore();
    }
}

} // namespace

void paintStreets(TileBrush& brush) {
    const double ratio = brush.scene.pixelRatio;
    std::vector<Drawn> streets;
    const double reach = kTileReachPx * brush.perWindowPixel();
    brush.scene.index->streets(brush.box.grown(reach), [&](const Street& s) {
        if (!brush.goOn()) return;
        const double width = s.widthM / brush.perPixel;
        if (s.path.size() < 2 || width < 0.35 * ratio) return;
        Drawn d{{}, std::max(width, ratio), &s};
        for (const PlanePoint& at : s.path) d.path << brush.at(at);
        streets.push_back(std::move(d));
    });
    QPainter p(&brush.image);
    p.setRenderHint(QPainter::Antialiasing);
    const WindowPalette& c = brush.scene.colors;
    for (const Drawn& d : streets)
        if (brush.goOn() && d.widthPx > 2.5 * ratio) stroke(p, d, c.streetEdge, d.widthPx + 2 * ratio * 0.8);
    for (const Drawn& d : streets)
        if (brush.goOn()) stroke(p, d, c.street, d.widthPx);
    if (!brush.scene.names) return;
    QFont font = brush.scene.font;
    const double wanted = brush.scene.font.pixelSize() * ratio;
    for (const Drawn& d : streets) {
        if (d.street->name.empty() || d.widthPx < wanted * 0.72 || !brush.goOn()) continue;
        font.setPixelSize(std::max(1, static_cast<int>(std::min(wanted, d.widthPx * 1.1))));
        p.setFont(font);
        p.setPen(c.inkSoft);
        writeName(p, d, QFontMetricsF(font, &brush.image));
    }
}

} // namespace fw
