// SPDX-License-Identifier: GPL-3.0-or-later
// One tile of the map: what does not move under what does. Drawn by workers from values that nobody changes.
#pragma once

#include "canvas/basemap_painter.h"
#include "canvas/scenery_index.h"
#include "surface/surface.h"
#include "theme/window_palette.h"

#include <QFont>
#include <QImage>

#include <compare>
#include <functional>
#include <memory>
#include <mutex>

namespace fw {

inline constexpr int kTilePx = 512;

/// A square of the ground at one resolution. Rows count northwards, columns eastwards, both from the origin
/// of the plane; row 0 of a picture lies in the north.
struct MapTileKey {
    double metresPerPixel = 1; ///< device pixels
    std::int64_t col = 0, row = 0;
    auto operator<=>(const MapTileKey&) const = default;
    [[nodiscard]] Box bounds() const {
        const double side = metresPerPixel * kTilePx;
        return {static_cast<double>(col) * side, static_cast<double>(row) * side,
                static_cast<double>(col + 1) * side, static_cast<double>(row + 1) * side};
    }
};

/// The terrain with the light that falls on it, made by whoever asks first.
class ShadedTerrain {
public:
    explicit ShadedTerrain(std::shared_ptr<const Terrain> terrain) : m_terrain(std::move(terrain)) {}
    [[nodiscard]] const Terrain& terrain() const { return *m_terrain; }
    /// Brightness against level ground, -1..1, for each cell of the terrain's grid; light from the
    /// north-west.
    [[nodiscard]] const std::vector<float>& light() const;
    /// 1 where a cell is water (ground at or below the datum), 0 on land.
    [[nodiscard]] const std::vector<float>& water() const;

private:
    std::shared_ptr<const Terrain> m_terrain;
    mutable std::once_flag m_once;
    mutable std::vector<float> m_light, m_water;
    void look() const;
};

/// Draws what colours the ground (PRB cost and the like) on one tile.
using TintPainter = std::function<void(QPainter&, const Box& plane, double metresPerPixel)>;

/// What tiles show, as it is at one moment.
struct TileScene {
    Plan plan;
    std::shared_ptr<const SceneryIndex> index;
    std::shared_ptr<const ShadedTerrain> ground;   ///< null: level
    std::shared_ptr<const BasemapPainter> basemap; ///< null: none; called from workers
    std::shared_ptr<const TintPainter> tint;       ///< null: none; called from workers
    bool tintOnBuildings = false;                  ///< it is of buildings: drawn over them
    WindowPalette colors;
    QFont font;
    double pixelRatio = 1; ///< device pixels to one pixel of the window
    bool hillshade = true, buildings = true, streets = true, trees = true, lines = true, names = true;
};

/// Draws a tile; opaque RGB32. `goOn` is asked often; when it says no the picture is null.
QImage drawTile(const TileScene& scene, const MapTileKey& key, const std::function<bool()>& goOn);

/// How far drawing reaches beyond an item's own box (window pixels): outlines and names of streets.
inline constexpr double kTileReachPx = 24;

// Parts of a tile, each in a file of its own.
void paintGround(QImage& image, const TileScene& scene, const MapTileKey& key);
class TileBrush;
void paintStreets(TileBrush& brush);
void paintBuildings(TileBrush& brush);

/// What the parts of one tile share.
class TileBrush {
public:
    TileBrush(QImage& picture, const TileScene& what, const MapTileKey& where,
              const std::function<bool()>& goOn)
        : image(picture), scene(what), key(where), box(where.bounds()), perPixel(where.metresPerPixel),
          m_goOn(goOn) {}

    [[nodiscard]] QPointF at(PlanePoint p) const {
        return {(p.x - box.x0) / perPixel, (box.y1 - p.y) / perPixel};
    }
    /// Metres of one pixel of the window.
    [[nodiscard]] double perWindowPixel() const { return perPixel * scene.pixelRatio; }
    /// False when nobody waits for the tile any more.
    bool goOn() {
        if (m_stopped) return false;
        if (++m_asked % 64 == 0 && !m_goOn()) m_stopped = true;
        return !m_stopped;
    }
    bool askNow() { return m_stopped ? false : !(m_stopped = !m_goOn()); }
    [[nodiscard]] bool stopped() const { return m_stopped; }

    QImage& image;
    const TileScene& scene;
    const MapTileKey& key;
    const Box box;
    const double perPixel;

private:
    const std::function<bool()>& m_goOn;
    unsigned m_asked = 0;
    bool m_stopped = false;
};

} // namespace fw
