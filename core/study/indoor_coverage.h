// SPDX-License-Identifier: GPL-3.0-or-later
// How far buildings are covered inside, storey by storey, before (macros alone) and after (with the chosen
// small cells of the active variant).
#pragma once

#include "study/rasters.h"

#include <cstdint>
#include <optional>
#include <vector>

namespace fw {

/// Storeys that have samples: lowest, middle (from three storeys on) and top. The one storey of a low
/// building is its lowest and its top one.
enum class Storey { all, lowest, middle, top };

struct IndoorSpec {
    Storey storey = Storey::all;
    int layer = -1;                     ///< index into Study::layers(), or -1: every cell
    double locations = 0.9;             ///< share of locations where the level is reached, 0.01 to 0.99
    std::optional<double> fromDbm = {}; ///< RSRP that counts; empty: ModelSettings::servedFromDbm
};

/// Samples stand behind the stretches of a building's facades (TileReceivers). One is covered where a cell's
/// level reaches the threshold at the asked share of locations: its median there, less that quantile of the
/// model's shadowing (macroSigmaDb, smallSigmaDb). Entry loss is the median of Rec. ITU-R P.2109 for the
/// building's kind, as in the computation.
struct BuildingCoverage {
    ItemId building;
    int samples = 0; ///< on the storeys asked for; 0: it has no such storey
    int before = 0, after = 0;
    [[nodiscard]] double shareBefore() const { return samples ? double(before) / samples : 0; }
    [[nodiscard]] double shareAfter() const { return samples ? double(after) / samples : 0; }
};

inline constexpr std::uint32_t kNoBuilding = 0xffffffff;

struct IndoorCoverage {
    std::vector<BuildingCoverage> buildings; ///< those with samples on any storey, ascending by id
    struct Tile {
        TileKey key;
        /// By pixel: the building that owns most of it (of equals the lower id), a place in `buildings`.
        std::vector<std::uint32_t> building;
    };
    std::vector<Tile> tiles; ///< those of the study, row by row
};
/// Pure, the same for any number of threads. Stopped, or a layer that is not there: empty.
IndoorCoverage indoorCoverage(const Study& study, const IndoorSpec& spec, unsigned threads = 0,
                              const Job& job = {});

} // namespace fw
