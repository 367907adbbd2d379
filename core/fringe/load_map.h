// SPDX-License-Identifier: GPL-3.0-or-later
// Where a cell's measured use lies: PRB cost per receiver, frozen at the baseline.
#pragma once

#include "fringe/serving_map.h"

#include <optional>
#include <span>
#include <vector>

namespace fw {

/// Rings about a cell's antenna, by which its demand is raked to its timing-advance histogram.
struct DemandRings {
    PlanePoint at;
    double widthM = 0;
    std::uint16_t count = 0; ///< 0: the cell is not raked, and all its demand counts as ring 0
};
/// Ring of a place by its distance on the plane; the last ring holds everything beyond.
std::uint16_t ringOf(const DemandRings& rings, PlanePoint p);

/// Sums over the receivers that one cell serves in one of its rings, in one tile or in all: demand, and
/// demand by efficiency.
struct DemandSum {
    std::uint16_t roster = 0, ring = 0;
    double indoor = 0, outdoor = 0;         ///< sum of w eta^b
    double indoorCost = 0, outdoorCost = 0; ///< sum of w eta^b times the mean of 1 / eta over shadowing
};
/// By roster place, then ring, ascending; only cells that serve demand here.
/// @param rings  by roster place; empty: nobody is raked.
std::vector<DemandSum> demandIn(const TileReceivers& r, const TileLevels& levels,
                                std::span<const DemandRings> rings, const ModelTables& t);

/// How many 2^-32 PRB a unit of ModelTables::costFactor costs on either side.
struct CostScale {
    double indoor = 0, outdoor = 0;
    bool operator==(const CostScale&) const = default;
};
struct CellScales {
    DemandRings rings;
    std::vector<CostScale> byRing; ///< one where the cell is not raked
};

/// Shares by ring of what a cell carries, each list adding up to 1 where it has anything.
struct RingShares {
    std::vector<double> modelled; ///< before raking
    std::vector<double> raked;    ///< as the cost is spread
    std::vector<double> measured; ///< of the samples
    double unreached = 0;         ///< share of samples in rings where the model has nobody
};

/// Spreads a cell's use over its demand. The sides have the indoor share of the bits indoors and the rest
/// outdoors (all on one side where the cell serves demand on one side only); without a share, as the demand
/// lies. Measured samples rake it: demand is fitted to both margins in turn, sides and rings (iterative
/// proportional fitting; Deming and Stephan, Annals of Mathematical Statistics 11, 1940), a fixed number of
/// rounds, rings last. A ring is held between an eighth and eightfold of what the model has there [own]:
/// echoes and rounding put samples into the wrong ring.
/// @param byRing    the cell's sums over all tiles, each ring once, ascending.
/// @param movable   PRB cost to spread, 2^-32 PRB.
/// @param measured  samples by ring, `rings.count` of them; empty: the cell is not raked.
/// @param shares    if given: how it came out.
CellScales costScales(const DemandRings& rings, std::span<const DemandSum> byRing, std::int64_t movable,
                      std::optional<double> indoorShare, std::span<const double> measured = {},
                      RingShares* shares = nullptr);

/// Fringes are found on blocks of this side, so that they come out as ground and not as scattered roofs.
inline constexpr double kBlockM = 32.0;
inline constexpr int kTileBlocks = 16; ///< along a tile's side

/// PRB cost of one tile.
struct TileCost {
    TileKey key;
    Digest digest;
    std::vector<std::vector<std::int64_t>> layers; ///< by layer and receiver; empty as in TileLevels
    /// By layer and receiver: density class of what its cell spends in its block; 0 without cost.
    std::vector<std::vector<std::uint16_t>> density;
    struct Bin {
        std::uint16_t roster, bin;
        std::int64_t cost;
    };
    std::vector<Bin> bins; ///< ascending by roster, bin: cost by density class, for the fringe
};
/// Each receiver's cost is rounded down; what is left of a cell's use over all tiles counts to the part that
/// cannot move, so that a cell always adds up to exactly its measured use.
/// @param scales  by roster place.
TileCost spreadCost(const TileReceivers& r, const TileLevels& levels, std::span<const CellScales> scales,
                    const ModelTables& t);

/// Density class of a cost on a block: eight steps an octave of cost per m2, 0 for none.
int densityBin(std::int64_t cost);
/// Block of a receiver, row by row from the tile's south-west; a facade beyond the tile's rim counts to the
/// rim.
std::size_t blockOf(const TileReceivers& r, std::size_t i);

/// Lowest density class of a cell's fringe: the densest classes that together hold at least half of the cost,
/// and no more classes than that needs. Classes ascending with their cost. 65535 when there is no cost.
std::uint16_t fringeFrom(std::span<const std::pair<std::uint16_t, std::int64_t>> binsAscending,
                         double share = 0.5);

} // namespace fw
