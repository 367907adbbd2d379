// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/tile_picture.h"

#include <QPainter>

#include <cmath>

namespace fw {

namespace {

void paintTrees(TileBrush& brush) {
    // Below a pixel a crown says nothing any more.
    if (brush.perPixel > 4) return;
    QPainter p(&brush.image);
    p.setRenderHint(QPainter::Antialiasing);
    QColor crown = brush.scene.colors.tree;
    crown.setAlpha(200);
    p.setBrush(crown);
    const bool rim = brush.perWindowPixel() < 0.5;
    p.setPen(rim ? QPen(mixed(brush.scene.colors.tree, brush.scene.colors.ink, 0.12), 0) : QPen(Qt::NoPen));
    brush.scene.index->trees(brush.box, [&](const Tree& tree) {
        if (!brush.goOn()) return;
        const double r = tree.crownRadiusM / brush.perPixel;
        if (r >= 0.6) p.drawEllipse(brush.at(tree.at), r, r);
    });
}

void paintLines(TileBrush& brush) {
    if (brush.perWindowPixel() > 12) return;
    QPainter p(&brush.image);
    p.setRenderHint(QPainter::Antialiasing);
    const double px = brush.scene.pixelRatio;
    const bool poles = brush.perWindowPixel() < 1.5;
    brush.scene.index->lines(brush.box.grown(4 * px * brush.perPixel), [&](const OverheadLine& line) {
        if (!brush.goOn()) return;
        QPolygonF path;
        for (const PlanePoint& at : line.path) path << brush.at(at);
        p.setPen(QPen(brush.scene.colors.line400, 1.2 * px));
        p.setBrush(Qt::NoBrush);
        p.drawPolyline(path);
        if (!poles) return;
        p.setPen(Qt::NoPen);
        p.setBrush(brush.scene.colors.line400);
        for (const QPointF& at : path) p.drawEllipse(at, 2.2 * px, 2.2 * px);
    });
}

} // namespace

QImage drawTile(const TileScene& scene, const MapTileKey& key, const std::function<bool()>& goOn) {
    QImage image(kTilePx, kTilePx, QImage::Format_RGB32);
    paintGround(image, scene, key);
    TileBrush brush(image, scene, key, goOn);
    if (scene.basemap && brush.askNow() && !(*scene.basemap)(image, brush.box, goOn)) return {};
    const auto tint = [&](bool onBuildings) {
        if (!scene.tint || scene.tintOnBuildings != onBuildings || !brush.askNow()) return;
        QPainter p(&image);
        (*scene.tint)(p, brush.box, brush.perPixel);
    };
    tint(false);
    if (scene.streets && brush.askNow()) paintStreets(brush);
    if (scene.trees && brush.askNow()) paintTrees(brush);
    if (scene.buildings && brush.askNow()) paintBuildings(brush);
    tint(true);
    if (scene.lines && brush.askNow()) paintLines(brush);
    return brush.stopped() ? QImage() : image;
}

} // namespace fw
