// SPDX-License-Identifier: GPL-3.0-or-later
// What a Study holds. Private to core/study. Everything is shared by pointer and never changed once
// published.
#pragma once

#include "fringe/tile_sums.h"
#include "radio/antenna.h"
#include "study/cost_by_bearing.h"
#include "study/macro_levels.h"
#include "study/memo.h"
#include "study/study.h"

#include <map>
#include <memory>
#include <mutex>

namespace fw {

/// A macro antenna position: sectors of one site at one height share it.
struct AntennaPart {
    MacroAntenna antenna;
    std::vector<int> layers;      ///< that are sent from it, ascending
    std::vector<Digest> tileKeys; ///< by tile of the baseline; zero: out of reach
    /// By tile, then by place in `layers`; empty out of reach, and where they did not stay (macro_levels.h).
    std::vector<std::vector<std::shared_ptr<const PathSlice>>> slices;
    [[nodiscard]] bool reaches(std::size_t tile) const { return tileKeys[tile] != Digest{}; }
};

/// A macro cell's numbers for kernels.
struct CellRuntime {
    int antenna = 0; ///< index of its AntennaPart
    int sector = 0;  ///< running number, the same for cells of one sector
    int baseCenti = 0;
    int scsCenti = 0; ///< taken off the level inside, given back where a level is shown
    int azimuth = 0;
    std::shared_ptr<const PatternTable> pattern;
    Digest patternDigest;
    std::int64_t movable = 0, fixed = 0, total = 0; ///< PRB cost, 2^-32 PRB; 0 without a measured use
};

struct TilePart {
    std::shared_ptr<const TileReceivers> receivers;
    std::shared_ptr<const TileLevels> levels;
    std::shared_ptr<const std::vector<DemandSum>> demand;
    Digest demandKey; ///< of levels and rings
    std::shared_ptr<const TileCost> cost;
};

struct Rim; // rim.h

/// Everything that small cells do not change.
struct Baseline {
    Frame frame;
    std::shared_ptr<const Terrain> terrain;
    std::shared_ptr<const Surface> surface;
    std::shared_ptr<const ModelTables> tables;
    Digest modelDigest;
    std::vector<Layer> layers;
    std::vector<MacroCell> cells;
    std::vector<CellRuntime> runtime;
    std::vector<std::int64_t> shares;
    std::vector<std::shared_ptr<const AntennaPart>> antennas;
    std::vector<TilePart> tiles;    ///< ascending by key, row by row
    std::vector<DemandRings> rings; ///< by cell
    std::vector<CellScales> scales;
    std::vector<RingShares> ringShares; ///< by cell; with nothing `measured` where a cell is not raked
    std::vector<std::int64_t>
        unspread; ///< per cell: of the movable cost, what rounding left (counts as fixed)
    std::vector<std::uint16_t> fringeFrom;
    Digest digest; ///< of all costs
    int tileX0 = 0, tileY0 = 0, tilesW = 0, tilesH = 0;
    mutable std::once_flag rimOnce;
    mutable std::shared_ptr<const Rim> rim; ///< rimOf()

    explicit Baseline(Frame f) : frame(std::move(f)) {}
    [[nodiscard]] int tileIndex(TileKey k) const {
        const int x = k.x - tileX0, y = k.y - tileY0;
        return x < 0 || y < 0 || x >= tilesW || y >= tilesH ? -1 : y * tilesW + x;
    }
};

/// A pattern made ready for kernels.
struct PatternPart {
    std::shared_ptr<const PatternTable> table;
    Beamwidths beam;
    Digest digest;
};
/// `cut`: measured, or null for the parabolic cuts.
PatternPart makePattern(const AntennaCut* cut, const ParabolicCuts& cuts, double mechanicalTiltDeg,
                        double electricalTiltDeg);

struct SmallRuntime {
    std::shared_ptr<const SmallPath> path;
    Digest pathKey; ///< of position, height, frequency, surface and receivers
    Digest key;     ///< of the path and everything that weighs it
    std::shared_ptr<const PatternTable> pattern;
    Digest patternDigest;
    int baseCenti = 0, scsCenti = 0, channel = 0;
    std::vector<double>
        carrierRatio; ///< by macro layer: PRB of this carrier that carry what one PRB of the layer does
};

/// Pixels of a tile by pair of cells (study/overlap.cpp).
using PairPixels = std::vector<std::pair<std::uint64_t, std::int64_t>>;

/// Caches of pure functions, shared by all studies that come from one another.
struct Memos {
    Memo<PairSight> sight;
    Memo<Outlook> outlook;
    Memo<double> contested, potential, lead, candidateRelief, candidateFringe;
    Memo<PatternPart> pattern{1024};
    Memo<std::shared_ptr<const PairPixels>> overlap{16384}; ///< by tile
    Memo<std::shared_ptr<const CostByBearing>> costByBearing{4096};
    Memo<std::shared_ptr<const Skyline>> skyline{4096};                                     ///< 20 kB each
    Memo<std::shared_ptr<const std::vector<std::shared_ptr<const SmallPath>>>> path{48};    ///< 400 kB each
    Memo<std::shared_ptr<const std::vector<std::shared_ptr<const PathSlice>>>> slices{256}; ///< 70 kB each
};

struct Press; // overlay_totals.h

class StudyCore : public std::enable_shared_from_this<StudyCore> {
public:
    Plan plan;
    StudyOptions options;
    std::shared_ptr<const Baseline> base;
    std::shared_ptr<const EntryTables> entry;
    std::shared_ptr<Memos> memos;
    std::vector<MountPart> mounts;     ///< ascending by id
    std::vector<SmallCellPart> smalls; ///< ascending by id
    std::vector<SmallRuntime> smallRuntime;
    std::vector<std::pair<Technology, std::int32_t>> channels; ///< of small cells, ascending
    std::vector<int> channelOfLayer;
    std::vector<std::shared_ptr<const TileSums>>
        tileSums; ///< by tile; null: nothing there. Empty in an overlay
    std::vector<Digest> tileSumKeys;
    TileSums totals; ///< unless overlay

    // Overlay only: whose totals follow by difference.
    std::shared_ptr<const StudyCore> under;
    std::vector<std::uint16_t> dragged;

    mutable std::mutex lazyLock;
    mutable std::shared_ptr<const TileSums> lazyTotals;
    mutable std::shared_ptr<const Ledger> lazyLive;
    mutable std::shared_ptr<Press> press;
    mutable std::map<std::size_t, std::shared_ptr<const TileSums>> candidateSums;

    StudyCore() = default;
    StudyCore(const StudyCore&) = delete;
    StudyCore& operator=(const StudyCore&) = delete;

    [[nodiscard]] int smallIndex(ItemId id) const;
    [[nodiscard]] int cellIndex(ItemId id) const;
    [[nodiscard]] const MountPart* mount(ItemId id) const;
    [[nodiscard]] const TileSums& sums() const; ///< totals, by difference in an overlay
    /// Totals and `besides` at once, on the crew. Nothing in `besides` may ask for totals.
    void prepareSums(Crew& crew, std::span<const std::function<void()>> besides) const;
    /// Totals with one more small cell taking part, where it is not chosen: a candidate is judged beside
    /// those that are.
    [[nodiscard]] std::shared_ptr<const TileSums> sumsIfChosen(std::size_t small) const;
    /// Sources by place; cells that take no part have no path. `except` (ascending) take no part.
    [[nodiscard]] std::vector<SmallSource> sources(std::span<const std::uint16_t> except = {}) const;
    [[nodiscard]] SmallSource source(std::size_t small) const;
    [[nodiscard]] TileView view(std::size_t tile, std::span<const SmallSource> sources) const;
    /// Those of `sources` that take part and whose reach meets the tile.
    [[nodiscard]] std::vector<SmallSource> meeting(TileKey tile, std::span<const SmallSource> sources) const;
};

/// Whether a small cell reaches a tile.
bool meets(const SmallPath& path, TileKey tile);

/// The models of path and entry that the plan chooses as a number, for keys of what is made with them.
unsigned pathModelKey(const ModelSettings& m);
/// Share of full power that an idle cell sends.
double idleFloorOf(const ModelSettings& m, Technology tech, int ports);

/// Builders (advance.cpp, baseline.cpp, smalls.cpp).
Result<std::shared_ptr<const Baseline>> makeBaseline(const Plan& plan,
                                                     const std::shared_ptr<const Terrain>& terrain,
                                                     const StudyCore* previous, const StudyOptions& options,
                                                     EntryTables& entry, const Job& job);
/// Mounts and small cells of the plan's active variant, on a baseline. `only`: none for all, else keep the
/// others from `previous` (overlay).
Status makeSmalls(StudyCore& core, const StudyCore* previous, const Job& job);
/// The same for an overlay: everything from `previous`, but the mount and what hangs on it made anew. False
/// when the hypothesis cannot be computed (a channel outside its band, say).
bool overlaySmalls(StudyCore& core, const StudyCore& previous, ItemId mount, Crew* crew);
/// Parts of one mount and the small cells on it.
MountPart makeMountPart(const Mount& m, const Baseline& base, Memos& memos);
Digest receiversIn(const Baseline& base, const Box& box);
/// A place as the number of its tile and of its pixel there.
struct PixelPlace {
    int tile = -1; ///< -1: outside the area
    std::size_t pixel = 0;
};
PixelPlace pixelOf(const Baseline& b, PlanePoint p);
/// PRB cost of one receiver on the macro layers that a small cell can relieve (-1: all), in points of the
/// cells that carry it. Defined with the queries.
double costPoints(const Baseline& base, const TilePart& tile, std::size_t receiver, int layer);

/// Computes and keeps what the fit and the rules ask of one small cell beside the totals. Defined with the
/// queries.
void keepQueries(const StudyCore& core, std::size_t small);

} // namespace fw
