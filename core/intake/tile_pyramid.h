// SPDX-License-Identifier: GPL-3.0-or-later
// A picture of the ground in tiles, at several resolutions.
#pragma once

#include "intake/mesh_warp.h"

#include <cstdint>
#include <memory>
#include <vector>

namespace fw {

/// All tiles of one resolution. Columns count eastwards, rows southwards, from the upper left corner.
struct TileLevel {
    int zoom = 0;              ///< its number, as files and servers count
    double left = 0, top = 0;  ///< upper left corner of tile 0, 0
    double perX = 1, perY = 1; ///< length of a pixel in the tiles' plane
    int tileWidth = 256, tileHeight = 256;
    std::int64_t cols = 1, rows = 1;
};

struct TileSpan {
    std::int64_t col0 = 0, row0 = 0, col1 = -1, row1 = -1; ///< first and last; none when last < first
};
/// Tiles of a level that share ground with a box of their plane.
TileSpan tilesOver(const TileLevel& level, const Box& box);

/// Index of the level that fits pixels of that size best: the nearest by ratio.
/// @param levels  not empty, the coarsest first.
std::size_t levelFor(const std::vector<TileLevel>& levels, double perPixel);

/// A tile, or null where there is none. A tile of other measures than its level's is stretched to them.
using TileOf =
    std::function<std::shared_ptr<const Picture>(const TileLevel&, std::int64_t col, std::int64_t row)>;

/// Draws what a mesh shows of a pyramid. Where a tile is missing, coarser levels stand in, up to five.
/// Nothing where that would be more than some 64 tiles of 512 pixels. False when `goOn` said no.
/// @param best  index of the level to draw; usually levelFor(levels, mesh.step()).
bool drawPyramid(const Mesh& mesh, const std::vector<TileLevel>& levels, std::size_t best, const TileOf& tile,
                 Picture& out, const std::function<bool()>& goOn = {});

/// The web's grid from one zoom to another, both within 0..kMostWebZoom.
std::vector<TileLevel> webLevels(int fromZoom, int toZoom);

} // namespace fw
