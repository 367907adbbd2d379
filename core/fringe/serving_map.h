// SPDX-License-Identifier: GPL-3.0-or-later
// Which macro serves where, how strong, and with how much interference: one tile at a time.
#pragma once

#include "fringe/model_tables.h"
#include "fringe/pattern_table.h"
#include "fringe/site_path.h"

#include <array>
#include <memory>
#include <vector>

namespace fw {

inline constexpr int kStrongest = 3; ///< cells kept by name per receiver and layer

/// A macro cell as a tile's levels need it.
struct CellSource {
    std::uint16_t roster = 0; ///< place among the plan's macro cells, ascending by id
    std::uint16_t sector = 0; ///< any number; neighbours in the list with the same one share angles
    int layer = 0;
    int baseCenti = 0;      ///< reference power + peak gain + offset
    std::int64_t share = 0; ///< of full power that it sends on average, 2^-16
    int azimuth = 0;        ///< grid, 0.1 deg
    const PatternTable* pattern = nullptr;
    const PathSlice* slice = nullptr;
};

/// Level and place in the roster in one number: larger is stronger, ties go to the lower place. 0: nobody.
using ServingKey = std::uint32_t;
inline ServingKey servingKey(int centi, std::uint16_t roster) {
    return static_cast<std::uint32_t>(centi + 32768) << 16 | static_cast<std::uint32_t>(0xffff - roster);
}
inline int levelOf(ServingKey k) { return static_cast<int>(k >> 16) - 32768; }
inline std::uint16_t rosterOf(ServingKey k) { return static_cast<std::uint16_t>(0xffff - (k & 0xffff)); }

struct LayerLevels {
    std::array<std::vector<ServingKey>, kStrongest> strongest; ///< by receiver, falling
    std::vector<std::int64_t>
        power; ///< by receiver: all macros of the layer as they send on average, 1e-15 mW
    std::vector<std::int16_t> sinr; ///< by receiver: of the strongest, 0.01 dB; kNoLevel where nobody serves
    [[nodiscard]] bool empty() const { return power.empty(); }
};

struct TileLevels {
    TileKey key;
    Digest digest;
    std::vector<LayerLevels> layers; ///< by layer; empty where no cell of the layer reaches the tile
};

/// @param cells   of all layers, grouped by sector. @param shares  sending share by roster place.
TileLevels makeLevels(const TileReceivers& receivers, std::span<const CellSource> cells, int layerCount,
                      std::span<const std::int64_t> shares, const ModelTables& tables);

/// The same by steps, for whoever does not hold the slices of all cells at once: in any order and any
/// portions of cells the levels are the same. `out.layers` has an entry a layer, empty at first.
void addLevels(TileLevels& out, const TileReceivers& receivers, std::span<const CellSource> cells,
               const ModelTables& tables);
/// After the last of them.
void finishLevels(TileLevels& out, std::span<const std::int64_t> shares, const ModelTables& tables);

/// The interference that the strongest cell's users hear: everything less its own part, plus noise.
inline std::int64_t interferenceOf(const LayerLevels& l, std::size_t i, std::span<const std::int64_t> shares,
                                   const ModelTables& t) {
    const ServingKey k = l.strongest[0][i];
    return l.power[i] - ((t.power(levelOf(k)) * shares[rosterOf(k)]) >> 16) + t.noise();
}

} // namespace fw
