// SPDX-License-Identifier: GPL-3.0-or-later
// The square grid of tiles that most tile servers use: 256 pixels a side, one tile for the world at zoom 0,
// each zoom twice as fine. Source: OGC 07-057r7 (WMTS 1.0.0), E.4 GoogleMapsCompatible; OGC 17-083r4, D.1
// WebMercatorQuad. Its plane is EPSG:3857: spherical Mercator on latitudes of the ellipsoid (EPSG method
// 1024).
#pragma once

#include "geo/frame.h"
#include "geo/shape.h"

#include <cstdint>
#include <optional>

namespace fw {

inline constexpr int kWebTilePx = 256;
inline constexpr int kMostWebZoom = 24; ///< as far as servers go
/// Half a side of the plane (m): pi times the semi-major axis of WGS 84.
inline constexpr double kWebHalfM = 20037508.342789244;

/// A tile: columns count eastwards from 180 W, rows southwards from the north.
struct WebTile {
    int zoom = 0;
    std::int64_t col = 0, row = 0;
    auto operator<=>(const WebTile&) const = default;
};

/// Place in the web's plane; none beyond 85.06 deg, where the square ends.
std::optional<PlanePoint> toWeb(GeoPoint p);
GeoPoint fromWeb(PlanePoint p);
/// Side of a pixel in the web's plane (m); on the ground it is shorter by the cosine of the latitude.
double webPixelM(int zoom);
Box boundsOf(const WebTile& tile);

/// Tiles from first to last in both directions; none of them when last < first.
struct WebTileRange {
    int zoom = 0;
    std::int64_t firstCol = 0, firstRow = 0, lastCol = -1, lastRow = -1;
    [[nodiscard]] bool contains(const WebTile& t) const {
        return t.zoom == zoom && t.col >= firstCol && t.col <= lastCol && t.row >= firstRow &&
               t.row <= lastRow;
    }
    [[nodiscard]] std::int64_t count() const {
        return lastCol < firstCol || lastRow < firstRow ? 0
                                                        : (lastCol - firstCol + 1) * (lastRow - firstRow + 1);
    }
};
/// Those that share ground with a box of the web's plane; a tile that only touches it at its edge is not one.
WebTileRange webTilesOver(const Box& web, int zoom);

/// What of the web's plane a box of a plan covers, by places along and within it; empty when it has none.
Box webBoundsOf(const Box& plan, const Frame& frame);

} // namespace fw
