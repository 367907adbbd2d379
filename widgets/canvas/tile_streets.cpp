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

/// The longest stretch that stays within `bend` of its chord, so that straight writing keeps to the street.
QLineF straightest(const QPolygonF& path, double bend) {
    QLineF best;
    const auto strays = [&](int from, int to) {
        const QPointF d = path[to] - path[from];
        const double length = std::hypot(d.x(), d.y());
        for (int k = from + 1; k < to; ++k) {
            const QPointF v = path[k] - path[from];
            if (length < 1e-9 || std::abs(v.x() * d.y() - v.y() * d.x()) > bend * length) return true;
        }
        return false;
    };
    for (int from = 0; from + 1 < path.size();) {
        int to = from + 1;
        while (to + 1 < path.size() && !strays(from, to + 1)) ++to;
        const QLineF run(path[from], path[to]);
        if (run.length() > best.length()) best = run;
        from = to;
    }
    return best;
}

/// Writes a street's name where it runs straight for longest, so that every tile puts it at the same place.
void writeName(QPainter& p, const Drawn& d, const QFontMetricsF& metrics, double ratio) {
    const QString name = QString::fromStdString(d.street->name);
    const QLineF run = straightest(d.path, d.widthPx * 0.18);
    const double width = metrics.horizontalAdvance(name), longest = run.length();
    if (width + metrics.height() > longest) return;
    const QPointF a = run.p1(), along = (run.p2() - run.p1()) / longest;
    double turn = std::atan2(along.y(), along.x()) * 180 / kPi;
    if (turn > 90) turn -= 180;
    if (turn <= -90) turn += 180;
    // A long street says its name again and again.
    const double gap = std::max(width * 4, 700 * ratio);
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
    // What colours the ground matters most on streets: there they are only veiled.
    const bool veiled = brush.scene.tint != nullptr;
    QImage veil;
    if (veiled) {
        veil = QImage(kTilePx, kTilePx, QImage::Format_ARGB32_Premultiplied);
        veil.fill(Qt::transparent);
    }
    QPainter p(veiled ? &veil : &brush.image);
    p.setRenderHint(QPainter::Antialiasing);
    const WindowPalette& c = brush.scene.colors;
    for (const Drawn& d : streets)
        if (brush.goOn() && d.widthPx > 2.5 * ratio) stroke(p, d, c.streetEdge, d.widthPx + 2 * ratio * 0.8);
    for (const Drawn& d : streets)
        if (brush.goOn()) stroke(p, d, c.street, d.widthPx);
    if (veiled) {
        p.end();
        p.begin(&brush.image);
        p.setOpacity(0.4);
        p.drawImage(0, 0, veil);
        p.setOpacity(1);
        p.setRenderHint(QPainter::Antialiasing);
    }
    if (!brush.scene.names) return;
    QFont font = brush.scene.font;
    const double wanted = brush.scene.font.pixelSize() * ratio;
    for (const Drawn& d : streets) {
        if (d.street->name.empty() || d.widthPx < wanted * 0.72 || !brush.goOn()) continue;
        font.setPixelSize(std::max(1, static_cast<int>(std::min(wanted, d.widthPx * 1.1))));
        p.setFont(font);
        p.setPen(veiled ? c.ink : c.inkSoft);
        writeName(p, d, QFontMetricsF(font, &brush.image), ratio);
    }
}

} // namespace fw
