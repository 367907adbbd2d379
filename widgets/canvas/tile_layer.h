// SPDX-License-Identifier: GPL-3.0-or-later
// The lowest layer of the map: tiles put side by side, one picture pixel to one of the screen.
#pragma once

#include "canvas/camera.h"
#include "canvas/tile_store.h"

#include <QPainter>
#include <QRect>

namespace fw {

class TileLayer {
public:
    explicit TileLayer(std::function<void()> arrived) : m_store(std::move(arrived)) {}
    TileStore& store() { return m_store; }
    [[nodiscard]] const TileStore& store() const { return m_store; }

    /// Ground that an overview is kept of, for what comes into view while zooming.
    void setWhole(const Box& whole) { m_whole = whole; }
    /// Asks for what a camera shows, the middle first.
    void request(const Camera& camera, double pixelRatio);
    /// @return false where something is not there at this resolution yet.
    bool paint(QPainter& p, const Camera& camera, double pixelRatio, const QColor& ground);
    [[nodiscard]] bool sharp(const Camera& camera, double pixelRatio) const;

private:
    struct Placed {
        MapTileKey key;
        QRect rect; ///< device pixels
    };
    [[nodiscard]] static std::vector<Placed> visible(const Camera& camera, double pixelRatio);
    void paintStandIn(QPainter& p, const Camera& camera, double pixelRatio,
                      const std::vector<QRect>& missing);

    TileStore m_store;
    Box m_whole;
};

} // namespace fw
