// SPDX-License-Identifier: GPL-3.0-or-later
#include "skyline/skyline_picture.h"

#include "skyline/distance_class.h"
#include "text/figures.h"
#include "text/line_of_words.h"
#include "theme/window_palette.h"

#include <QCoreApplication>
#include <QPainterPath>

#include <algorithm>
#include <array>
#include <cmath>

namespace fw {

namespace {

constexpr int kClasses = static_cast<int>(kDistanceClasses.size());
constexpr int kGround = kClasses, kOwn = kClasses + 1, kKinds = kClasses + 2;

// Near stands out most: darker by day, lighter by night.
QColor colorOf(const WindowPalette& c, int kind) {
    if (kind == kGround) return mixed(c.base, c.tree, c.dark ? 0.55 : 0.6);
    if (kind == kOwn) return c.line;
    static constexpr std::array<double, kClasses> kDay = {0.46, 0.35, 0.26, 0.18, 0.11},
                                                  kNight = {0.60, 0.45, 0.33, 0.23, 0.15};
    return mixed(c.base, c.ink, (c.dark ? kNight : kDay)[static_cast<std::size_t>(kind)]);
}

int kindOf(const Skyline::Bearing& b, ItemId own) {
    return !b.cause ? kGround : b.cause == own ? kOwn : distanceClassOf(static_cast<double>(b.distanceM));
}

// Runs of one shade as one path, so that no seams show between them.
std::array<QPainterPath, kKinds> topPaths(const SkylineScale& s, const SkylineScene& scene) {
    std::array<QPainterPath, kKinds> paths;
    constexpr double step = 0.5;
    QPolygonF run;
    int runKind = -1;
    const auto flush = [&](double x) {
        if (run.isEmpty()) return;
        run << QPointF(x, s.plot.bottom());
        paths[static_cast<std::size_t>(runKind)].addPolygon(run);
        run.clear();
    };
    for (double deg = -SkylineScale::kOverlapDeg; deg < 360 + SkylineScale::kOverlapDeg; deg += step) {
        const Skyline::Bearing& b = scene.towards(deg + step / 2);
        const double x = s.x(deg), y = s.at({}, static_cast<double>(b.elevationDeg)).y();
        const int kind = kindOf(b, scene.ownBuilding);
        if (kind != runKind) {
            flush(x);
            runKind = kind;
            run << QPointF(x, s.plot.bottom());
        }
        run << QPointF(x, y) << QPointF(s.x(deg + step), y);
    }
    flush(s.plot.right());
    return paths;
}

void drawTops(QPainter& p, const SkylineScale& s, const SkylineScene& scene, const WindowPalette& c) {
    const auto paths = topPaths(s, scene);
    p.setPen(Qt::NoPen);
    // Ground and own wall first: they lie behind what is named and shaded.
    for (const int kind : {kGround, kOwn, 4, 3, 2, 1, 0})
        p.fillPath(paths[static_cast<std::size_t>(kind)], colorOf(c, kind));
    // The own wall is told by its slanted lines as well, for it is no thing to look at.
    p.fillPath(paths[kOwn], QBrush(c.inkFaint, Qt::Dense7Pattern));
}

void drawBlocked(QPainter& p, const SkylineScale& s, const BlockedBearings& blocked, const WindowPalette& c) {
    QColor line = c.ink;
    line.setAlphaF(c.dark ? 0.34F : 0.30F);
    p.setBrush(QBrush(line, Qt::BDiagPattern));
    p.setPen(Qt::NoPen);
    const double half = BlockedBearings::kBinDeg / 2;
    for (int k = 0; k < BlockedBearings::kBins; ++k)
        if (blocked.why[static_cast<std::size_t>(k)])
            s.everywhere(k * BlockedBearings::kBinDeg, half, [&](double x) {
                const double w = half * s.pixelsPerDeg();
                p.drawRect(QRectF(x - w, s.plot.top(), 2 * w, s.plot.height()).intersected(s.plot));
            });
    p.setBrush(Qt::NoBrush);
}

void drawCost(QPainter& p, const SkylineScale& s, const SkylineScene& scene, const SkylineStyle& style) {
    const QRectF band(s.plot.left(), s.plot.bottom() + 1, s.plot.width(), style.bandHeight);
    p.fillRect(band, style.colors.amount[0]);
    for (int k = 0; k < CostByBearing::kBins; ++k) {
        const double points = scene.cost->points[static_cast<std::size_t>(k)];
        if (points <= 0) continue;
        const double middle = (k + 0.5) * CostByBearing::kBinDeg + scene.convergenceDeg;
        const QColor color = along(style.colors.amount, points / kFullCostPoints);
        s.everywhere(middle, CostByBearing::kBinDeg / 2, [&](double x) {
            const double w = CostByBearing::kBinDeg / 2 * s.pixelsPerDeg();
            p.fillRect(QRectF(x - w, band.top(), 2 * w, band.height()).intersected(band), color);
        });
    }
}

QString footLabel(int azimuth) {
    switch (azimuth) {
    case 0:
        return QCoreApplication::translate("fw::SkylineView", "N", "north, at the foot of the panorama");
    case 90:
        return QCoreApplication::translate("fw::SkylineView", "E", "east");
    case 180:
        return QCoreApplication::translate("fw::SkylineView", "S", "south");
    case 270:
        return QCoreApplication::translate("fw::SkylineView", "W", "west");
    default:
        return bearing(azimuth);
    }
}

void drawFoot(QPainter& p, const QRectF& whole, const SkylineScale& s, const SkylineStyle& style) {
    const int every = s.pixelsPerDeg() * 30 > widthOfWords(style.font, QStringLiteral("000°")) * 1.4   ? 30
                      : s.pixelsPerDeg() * 45 > widthOfWords(style.font, QStringLiteral("000°")) * 1.2 ? 45
                                                                                                       : 90;
    const double y = s.plot.bottom() + 1 + style.bandHeight;
    QFont strong = style.font;
    strong.setBold(true);
    for (int deg = -45; deg <= 405; ++deg) {
        const bool big = deg % every == 0, small = deg % 10 == 0;
        if (!big && !small) continue;
        const double x = s.x(deg);
        p.setPen(QPen(big ? style.colors.inkSoft : style.colors.inkFaint, 0));
        p.drawLine(QPointF(x, y), QPointF(x, y + (big ? 5 : 3)));
        if (!big) continue;
        const int azimuth = (deg + 360) % 360;
        p.setFont(azimuth % 90 ? style.font : strong);
        p.setPen(azimuth % 90 ? style.colors.inkSoft : style.colors.ink);
        const double half = widthOfWords(style.font, QStringLiteral("000°")) * 0.7;
        const double at = std::clamp(x, whole.left() + half, whole.right() - half);
        drawWords(p, QRectF(at - half, y + 5, 2 * half, style.fontHeight), Qt::AlignHCenter | Qt::AlignTop,
                  footLabel(azimuth));
    }
    p.setFont(style.font);
}

// Fills of many pixel rows and lines of many pixels with an alpha are handed by Qt to a pool of threads,
// whose wake costs more than the fill: they are drawn in low pieces here.
void fillLow(QPainter& p, const QRectF& r, const QColor& color) {
    constexpr double kRows = 32; // at a device pixel ratio of 2 still one piece
    for (double y = r.top(); y < r.bottom(); y += kRows)
        p.fillRect(QRectF(r.left(), y, r.width(), std::min(kRows, r.bottom() - y)), color);
}

// Thinnest lines, as fills.
void drawLevel(QPainter& p, double x0, double x1, double y, const QColor& color, double on, double off) {
    const double thin = 1 / p.device()->devicePixelRatioF(), top = std::floor(y / thin) * thin;
    for (double x = x0; x < x1; x += on + off) p.fillRect(QRectF(x, top, std::min(on, x1 - x), thin), color);
}
void drawUpright(QPainter& p, double x, double y0, double y1, const QColor& color, double on, double off) {
    const double thin = 1 / p.device()->devicePixelRatioF(), left = std::floor(x / thin) * thin;
    for (double y = y0; y < y1; y += on + off) p.fillRect(QRectF(left, y, thin, std::min(on, y1 - y)), color);
}

void drawSide(QPainter& p, const QRectF& whole, const SkylineScale& s, const SkylineStyle& style) {
    p.setFont(style.font);
    const double room = style.fontHeight * 1.15;
    int every = 10;
    while (every < 90 && every / (s.topDeg - s.bottomDeg) * s.plot.height() < room)
        every += every == 10 ? 10 : 5;
    for (int e = -90; e <= 90; e += every) {
        if (e < s.bottomDeg || e > s.topDeg) continue;
        const double y = s.y(e);
        p.setPen(QPen(style.colors.inkFaint, 0));
        p.drawLine(QPointF(s.plot.left() - 4, y), QPointF(s.plot.left() - 1, y));
        QColor guide = e == 0 ? style.colors.inkSoft : style.colors.inkFaint;
        guide.setAlphaF(e == 0 ? 0.9F : 0.22F);
        const double all = s.plot.width();
        drawLevel(p, s.plot.left(), s.plot.right(), y, guide, e == 0 ? 5 : all, e == 0 ? 4 : 0);
        p.setPen(style.colors.inkSoft);
        drawWords(p,
                  QRectF(whole.left(), y - style.fontHeight / 2.0, s.plot.left() - 6 - whole.left(),
                         style.fontHeight),
                  Qt::AlignAbsolute | Qt::AlignRight | Qt::AlignVCenter,
                  signedFigure(e, {}, 0) + QChar(u'\u00b0'));
    }
}

// Past north both ends repeat what stands at the other: they step back, and north has a line.
void drawOverlap(QPainter& p, const SkylineScale& s, const WindowPalette& c) {
    QColor veil = c.base;
    veil.setAlphaF(0.45F);
    const double foot = s.plot.height();
    fillLow(p, QRectF(s.plot.left(), s.plot.top(), s.x(0) - s.plot.left(), foot), veil);
    fillLow(p, QRectF(s.x(360), s.plot.top(), s.plot.right() - s.x(360), foot), veil);
    for (const double deg : {0.0, 360.0})
        drawUpright(p, s.x(deg), s.plot.top(), s.plot.bottom(), c.inkFaint, 2, 3);
}

} // namespace

void drawBackdrop(QPainter& p, const QRectF& whole, const SkylineScale& scale, const SkylineScene& scene,
                  const BlockedBearings* blocked, const SkylineStyle& style) {
    const WindowPalette& c = style.colors;
    p.fillRect(whole, c.base);
    p.save();
    p.setClipRect(scale.plot);
    if (scene.skyline) drawTops(p, scale, scene, c);
    if (blocked) drawBlocked(p, scale, *blocked, c);
    drawOverlap(p, scale, c);
    p.restore();
    if (scene.cost) drawCost(p, scale, scene, style);
    drawSide(p, whole, scale, style);
    drawFoot(p, whole, scale, style);
    p.setPen(QPen(c.line, 0));
    p.drawLine(scale.plot.bottomLeft(), scale.plot.bottomRight());
}

} // namespace fw
