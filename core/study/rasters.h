// SPDX-License-Identifier: GPL-3.0-or-later
// A study as rasters of 4 m pixels: what colours the ground of a map. Pixel i of a tile is column i % 128,
// row i / 128 from the south-west; tiles are those of the study, row by row. Pure functions of a study.
#pragma once

#include "base/digest.h"
#include "base/job.h"
#include "geo/grid.h"
#include "study/study.h"

#include <cstdint>
#include <vector>

namespace fw {

inline constexpr int kRasterPixels = 128;       ///< along a tile's side
inline constexpr double kRasterPixelM = 4;      ///< side of a pixel (m)
inline constexpr int kRasterBlocks = 16;        ///< blocks of 32 m along a tile's side
inline constexpr int kNothingHeard = -32768;    ///< a level where nothing is received
inline constexpr std::uint16_t kNoCell = 65535; ///< a place in macroCells() where there is none

/// Equal digests mean equal rasters. Small cells are no part of it: a drag leaves it as it is.
Digest groundDigest(const Study& study);

/// Who serves one tile, and how strongly: what Study::macroAt says at the pixels' centres.
struct ServingRaster {
    TileKey key;
    std::vector<std::int16_t> levelCenti; ///< RSRP at 1.5 m, 0.01 dBm; kNothingHeard inside buildings too
    std::vector<std::uint16_t> server;    ///< place in macroCells(), or kNoCell
};
/// @param layer  index into Study::layers(), or -1: the strongest of all layers.
/// Stopped, or a layer that is not there: empty.
std::vector<ServingRaster> servingRasters(const Study& study, int layer, const Job& job = {});

/// Where the macros' load lies in one tile. Users on open ground count to their pixel, those in a building
/// evenly to its footprint, whichever tile that lies in.
struct CostRaster {
    TileKey key;
    /// Movable PRB cost in points per hectare; a point is a hundredth of a cell's PRB. Over all tiles, times
    /// a pixel's 0.0016 ha, a cell adds up to its movable use less what rounding leaves (1e-4 of it).
    std::vector<float> pointsPerHa;
    std::vector<std::uint16_t> cell; ///< that bears the largest part of a pixel's cost, or kNoCell
    /// Demand: floor area per ground area (m2 per m2), open ground and congestion areas weighted as for the
    /// computation. The same for every layer.
    std::vector<float> demand;
    /// By block of 32 m: congested cell whose fringe the block belongs to (of several the one that spends
    /// most there), or kNoCell.
    std::vector<std::uint16_t> fringe;
};
/// @param layer  index into Study::layers(), or -1: all layers together.
/// Stopped, or a layer that is not there: empty.
std::vector<CostRaster> costRasters(const Study& study, int layer, const Job& job = {});

/// Where one small cell is heard and what it takes there from the macros, other small cells left out.
struct SmallFootprint {
    ItemId small;
    Grid<std::int16_t> levelCenti; ///< what Study::smallAt says at the pixels' centres; kNothingHeard
    /// Of users at a pixel, were there any, the share that it takes from the macros, in 255ths: 0 where no
    /// macro serves. On a carrier of its own: of the macro layers' users.
    std::vector<std::uint8_t> captured;
    /// Its level less that of the strongest macro of its carrier (own carrier: of any), 0.01 dB;
    /// kNothingHeard where it is not heard itself, kNoMacro where no macro is.
    std::vector<std::int16_t> leadCenti;
    static constexpr std::int16_t kNoMacro = 32767;
    [[nodiscard]] bool leads(std::size_t i) const { return leadCenti[i] > 0; }
    [[nodiscard]] double share(std::size_t i) const { return captured[i] / 255.0; }
};
/// Fills `out` and uses its memory again: quick enough for each frame of a drag (below 1 ms for 300 m). Works
/// on an overlay. False, and `out` empty, where the small cell is not part of the study.
bool footprintOf(const Study& study, ItemId small, SmallFootprint& out);

} // namespace fw
