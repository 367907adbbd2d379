// SPDX-License-Identifier: GPL-3.0-or-later
// The tiles of the map, and a second set of them while a divider parts it: the same ground with another tint.
#pragma once

#include "canvas/tile_layer.h"

#include <memory>
#include <optional>

namespace fw {

class SplitTiles {
public:
    explicit SplitTiles(std::function<void()> arrived) : m_arrived(std::move(arrived)), m_tiles(m_arrived) {}

    /// Tint left of the divider; null: nothing is parted, and the second set is given up.
    void setLeft(std::shared_ptr<const TintPainter> tint);
    [[nodiscard]] bool split() const { return m_left != nullptr; }

    // As those of TileStore and TileLayer, for both sides.
    void setScene(const std::shared_ptr<const TileScene>& scene, const std::vector<Box>& changed);
    void renew(const std::shared_ptr<const TileScene>& scene);
    void replace(const std::shared_ptr<const TileScene>& scene);
    void setPaused(bool paused);
    void setWhole(const Box& whole);
    void request(const Camera& camera, double pixelRatio);
    [[nodiscard]] bool sharp(const Camera& camera, double pixelRatio) const;
    /// @param dividerX  in pixels of the window; what is left of it comes from the second set.
    void paint(QPainter& p, const Camera& camera, double pixelRatio, const QColor& ground, double dividerX);

private:
    [[nodiscard]] std::shared_ptr<const TileScene>
    leftOf(const std::shared_ptr<const TileScene>& scene) const;

    std::function<void()> m_arrived;
    TileLayer m_tiles;
    std::unique_ptr<TileLayer> m_left;
    std::shared_ptr<const TintPainter> m_leftTint;
    std::shared_ptr<const TileScene> m_scene;
    Box m_whole;
    bool m_paused = false;
};

} // namespace fw
