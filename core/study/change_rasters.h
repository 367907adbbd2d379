// SPDX-License-Identifier: GPL-3.0-or-later
// What the small cells change on the ground: the radio state and the PRB cost before (macros alone) and after
// (with the chosen small cells of the active variant). Pixels as in rasters.h. Medians, without shadowing;
// loads as the live ledger has them: macros send as measured, small cells as planned. Pure functions of a
// study, overlays too; the same bytes for any number of threads.
#pragma once

#include "study/rasters.h"

#include <cstdint>
#include <vector>

namespace fw {

enum class Moment { before, after };

/// Equal digests mean equal rasters of either moment, and equal indoor coverage for the same question.
Digest changeDigest(const Study& study);

inline constexpr std::uint32_t kNoServer = 0xffffffff;
inline constexpr std::uint32_t kSmallServer = 0x10000; ///< set: the rest is a place in smallCells()
inline constexpr std::int32_t kNoRate = -1;

/// Who serves one tile and how well, 1.5 m above open ground. Of a layer: its macros and the small cells on
/// its channel; of all layers: every cell.
struct RadioRaster {
    TileKey key;
    /// RSRP of the strongest cell, 0.01 dBm, bias not counted; kNothingHeard inside buildings too.
    std::vector<std::int16_t> levelCenti;
    /// The strongest cell as phones compare them, a small cell's bias counted: a place in macroCells(), or
    /// kSmallServer | a place in smallCells(), or kNoServer. A macro is left only for a stronger small cell,
    /// and of equal small cells the first serves.
    std::vector<std::uint32_t> server;
    /// SINR of the server, 0.01 dB; kNothingHeard where it is below ModelSettings::servedFromDbm.
    std::vector<std::int16_t> sinrCenti;
    /// What one more user would get (kbit/s): bandwidth of the server's blocks, times spectral efficiency
    /// (ModelTables::efficiency, one stream), times the downlink's share of time, times the share of blocks
    /// that the live ledger leaves free (none over full use). 0 where nobody serves; kNoRate inside buildings
    /// and where the server's load was not measured.
    std::vector<std::int32_t> rateKbps;
};
/// @param layer    index into Study::layers(), or -1: all.
/// @param threads  0: one per core.
/// Stopped, or a layer that is not there: empty.
std::vector<RadioRaster> radioRasters(const Study& study, int layer, Moment moment, unsigned threads = 0,
                                      const Job& job = {});

/// after - before where both are figures; `nothing` where either is.
inline int changeOf(int before, int after, int nothing) {
    return before == nothing || after == nothing ? nothing : after - before;
}

/// What the macros lose and gain in one tile, in points per hectare of CostRaster: a pixel's cost after is
/// its cost before - relief + harm. Users of a building are spread over its footprint as in CostRaster.
struct CostChange {
    TileKey key;
    /// Over all tiles, times a pixel's 0.0016 ha, it is the live ledger's relief (of a small cell over its
    /// cap the share that the ledger counts) less what rounding to float leaves (1e-4 of it).
    std::vector<float> reliefPerHa;
    std::vector<float> harmPerHa; ///< what the small cells' interference adds, likewise
};
/// @param layer  index into Study::layers(), or -1: all layers together.
/// Stopped, or a layer that is not there: empty.
std::vector<CostChange> costChanges(const Study& study, int layer, unsigned threads = 0, const Job& job = {});

} // namespace fw
