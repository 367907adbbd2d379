// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/split_tiles.h"

#include <cmath>

namespace fw {

std::shared_ptr<const TileScene> SplitTiles::leftOf(const std::shared_ptr<const TileScene>& scene) const {
    auto left = std::make_shared<TileScene>(*scene);
    left->tint = m_leftTint;
    return left;
}

void SplitTiles::setLeft(std::shared_ptr<const TintPainter> tint) {
    if (tint == m_leftTint) return;
    m_leftTint = std::move(tint);
    if (!m_leftTint) {
        m_left.reset();
        return;
    }
    const bool fresh = !m_left;
    if (fresh) {
        m_left = std::make_unique<TileLayer>(m_arrived);
        m_left->setWhole(m_whole);
        m_left->store().setPaused(m_paused);
    }
    if (m_scene) m_left->store().renew(leftOf(m_scene));
}

void SplitTiles::setScene(const std::shared_ptr<const TileScene>& scene, const std::vector<Box>& changed) {
    m_scene = scene;
    m_tiles.store().setScene(scene, changed);
    if (m_left) m_left->store().setScene(leftOf(scene), changed);
}

void SplitTiles::renew(const std::shared_ptr<const TileScene>& scene) {
    m_scene = scene;
    m_tiles.store().renew(scene);
    if (m_left) m_left->store().renew(leftOf(scene));
}

void SplitTiles::replace(const std::shared_ptr<const TileScene>& scene) {
    m_scene = scene;
    m_tiles.store().replace(scene);
    if (m_left) m_left->store().replace(leftOf(scene));
}

void SplitTiles::setPaused(bool paused) {
    m_paused = paused;
    m_tiles.store().setPaused(paused);
    if (m_left) m_left->store().setPaused(paused);
}

void SplitTiles::setWhole(const Box& whole) {
    m_whole = whole;
    m_tiles.setWhole(whole);
    if (m_left) m_left->setWhole(whole);
}

void SplitTiles::request(const Camera& camera, double pixelRatio) {
    m_tiles.request(camera, pixelRatio);
    if (m_left) m_left->request(camera, pixelRatio);
}

bool SplitTiles::sharp(const Camera& camera, double pixelRatio) const {
    return m_tiles.sharp(camera, pixelRatio) && (!m_left || m_left->sharp(camera, pixelRatio));
}

void SplitTiles::paint(QPainter& p, const Camera& camera, double pixelRatio, const QColor& ground,
                       double dividerX) {
    if (!m_left) {
        m_tiles.paint(p, camera, pixelRatio, ground);
        return;
    }
    // On a whole pixel of the device: a clip through the middle of one would mix both sides.
    const double x = std::round(dividerX * pixelRatio) / pixelRatio;
    const QRectF all(QPointF(0, 0), camera.size);
    for (TileLayer* side : {m_left.get(), &m_tiles}) {
        p.save();
        p.setClipRect(side == m_left.get() ? all.adjusted(0, 0, x - all.width(), 0)
                                           : all.adjusted(x, 0, 0, 0),
                      Qt::IntersectClip);
        side->paint(p, camera, pixelRatio, ground);
        p.restore();
    }
}

} // namespace fw
