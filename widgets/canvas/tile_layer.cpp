// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/tile_layer.h"

#include <QRegion>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

std::int64_t floorDiv(std::int64_t a, std::int64_t b) {
    const std::int64_t q = a / b;
    return a % b < 0 ? q - 1 : q;
}

} // namespace

std::vector<TileLayer::Placed> TileLayer::visible(const Camera& camera, double pixelRatio) {
    const double per = camera.metresPerPixel / pixelRatio;
    const auto w = static_cast<std::int64_t>(std::lround(camera.size.width() * pixelRatio)),
               h = static_cast<std::int64_t>(std::lround(camera.size.height() * pixelRatio));
    const std::int64_t left = std::llround(camera.centre.x / per - static_cast<double>(w) / 2),
                       top = std::llround(-camera.centre.y / per - static_cast<double>(h) / 2);
    std::vector<Placed> out;
    for (std::int64_t band = floorDiv(top, kTilePx); band <= floorDiv(top + h - 1, kTilePx); ++band)
        for (std::int64_t col = floorDiv(left, kTilePx); col <= floorDiv(left + w - 1, kTilePx); ++col)
            out.push_back({{per, col, -band - 1},
                           QRect(static_cast<int>(col * kTilePx - left),
                                 static_cast<int>(band * kTilePx - top), kTilePx, kTilePx)});
    return out;
}

void TileLayer::request(const Camera& camera, double pixelRatio) {
    std::vector<Placed> placed = visible(camera, pixelRatio);
    const QPointF middle(camera.size.width() * pixelRatio / 2, camera.size.height() * pixelRatio / 2);
    const auto away = [&](const Placed& t) {
        const QPointF d = QRectF(t.rect).center() - middle;
        return d.x() * d.x() + d.y() * d.y();
    };
    std::stable_sort(placed.begin(), placed.end(),
                     [&](const Placed& a, const Placed& b) { return away(a) < away(b); });
    std::vector<MapTileKey> keys;
    keys.reserve(placed.size());
    for (const Placed& t : placed) keys.push_back(t.key);
    if (!m_whole.empty()) {
        // Two or three tiles a side hold everything; they come last and stay.
        const double per = std::max(0.1, std::max(m_whole.width(), m_whole.height()) / (2 * kTilePx));
        m_store.pin(per);
        const double side = per * kTilePx;
        for (auto row = std::llround(std::floor(m_whole.y0 / side));
             static_cast<double>(row) * side < m_whole.y1; ++row)
            for (auto col = std::llround(std::floor(m_whole.x0 / side));
                 static_cast<double>(col) * side < m_whole.x1; ++col)
                keys.push_back({per, col, row});
    }
    m_store.want(std::move(keys));
}

bool TileLayer::sharp(const Camera& camera, double pixelRatio) const {
    const auto placed = visible(camera, pixelRatio);
    return std::all_of(placed.begin(), placed.end(),
                       [this](const Placed& t) { return m_store.fresh(t.key); });
}

bool TileLayer::paint(QPainter& p, const Camera& camera, double pixelRatio, const QColor& ground) {
    std::vector<QRect> missing;
    std::vector<std::pair<const QImage*, QPoint>> there;
    for (const Placed& t : visible(camera, pixelRatio)) {
        if (const QImage* image = m_store.picture(t.key))
            there.emplace_back(image, t.rect.topLeft());
        else
            missing.push_back(t.rect);
    }
    p.save();
    p.scale(1 / pixelRatio, 1 / pixelRatio); // one to one: copied, not scaled
    if (!missing.empty()) {
        for (const QRect& r : missing) p.fillRect(r, ground);
        paintStandIn(p, camera, pixelRatio, missing);
    }
    for (const auto& [image, at] : there) p.drawImage(at, *image);
    p.restore();
    return missing.empty();
}

void TileLayer::paintStandIn(QPainter& p, const Camera& camera, double pixelRatio,
                             const std::vector<QRect>& missing) {
    const double per = camera.metresPerPixel / pixelRatio;
    std::vector<double> levels = m_store.resolutions();
    std::erase(levels, per);
    std::sort(levels.begin(), levels.end(),
              [&](double a, double b) { return std::abs(std::log(a / per)) < std::abs(std::log(b / per)); });
    // The nearest resolutions only, painted over each other from the least fitting on; none below one that
    // covers everything.
    struct Sheet {
        std::vector<std::pair<const QImage*, QRectF>> tiles;
    };
    std::vector<Sheet> sheets;
    const Box seen = camera.visible();
    for (const double level : levels) {
        const double side = level * kTilePx;
        const auto c0 = std::llround(std::floor(seen.x0 / side)),
                   c1 = std::llround(std::floor(seen.x1 / side)),
                   r0 = std::llround(std::floor(seen.y0 / side)),
                   r1 = std::llround(std::floor(seen.y1 / side));
        if ((c1 - c0 + 1) * (r1 - r0 + 1) > 200) continue;
        Sheet sheet;
        bool all = true;
        for (auto row = r0; row <= r1; ++row)
            for (auto col = c0; col <= c1; ++col) {
                const MapTileKey key{level, col, row};
                const QImage* image = m_store.picture(key);
                all = all && image;
                if (!image) continue;
                const Box box = key.bounds();
                const QPointF a = camera.toScreen({box.x0, box.y1}) * pixelRatio,
                              b = camera.toScreen({box.x1, box.y0}) * pixelRatio;
                sheet.tiles.emplace_back(image, QRectF(a, b));
            }
        if (!sheet.tiles.empty()) sheets.push_back(std::move(sheet));
        if (all || sheets.size() == 3) break;
    }
    QRegion region;
    for (const QRect& r : missing) region += r;
    p.save();
    p.setClipRegion(region, Qt::IntersectClip);
    for (auto it = sheets.rbegin(); it != sheets.rend(); ++it)
        for (const auto& [image, rect] : it->tiles) p.drawImage(rect, *image);
    p.restore();
}

} // namespace fw
