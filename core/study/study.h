// SPDX-License-Identifier: GPL-3.0-or-later
// The whole computation of one plan: what is seen, received, loaded and relieved. Immutable once made; a
// changed plan gives a new one that shares every part whose inputs are the same.
#pragma once

#include "base/crew.h"
#include "base/job.h"
#include "base/result.h"
#include "geo/frame.h"
#include "plan/plan.h"
#include "plan/snapshot.h"
#include "surface/profile.h"
#include "surface/skyline.h"
#include "surface/surface.h"

#include <memory>
#include <optional>
#include <span>
#include <vector>

namespace fw {

/// A carrier on which macros send. Every layer has its own serving map and its own cost.
struct Layer {
    Technology technology = Technology::lte;
    std::int32_t channel = 0;
    Hertz frequency;
};

/// A macro cell as the computation sees it. Ascending by id in Study::macroCells().
struct MacroCell {
    ItemId id, sector, site;
    int layer = 0; ///< index into Study::layers()
    int resourceBlocks = 0;
    double antennaAmsl = 0;
    double referencePowerDbm = 0; ///< per resource element and port
    std::optional<double> use;    ///< measured downlink PRB use, 0..1
    bool congested = false;       ///< over the trigger on enough days and users suffer (ModelSettings)
    double downlinkShare = 1;
};

/// Whether a cell's measured load is over the trigger on enough of its latest seven days and its users
/// suffer; a cell whose load was not measured is not. Source: common practice (the defaults of
/// ModelSettings).
bool overTrigger(const CellLoad& load, const ModelSettings& m);

/// A mount as the computation sees it.
struct MountPart {
    ItemId id;
    PlanePoint at;
    double groundAmsl = 0;  ///< ground that its height is counted from
    double antennaAmsl = 0; ///< radiation centre
    int ownPrism = -1;      ///< building that carries it (wall, parapet, roof), index into surface().prisms()
    std::shared_ptr<const Skyline> skyline; ///< from the radiation centre, 500 m, own building counted
};

/// A small cell of the active variant, chosen or not. Ascending by id in Study::smallCells().
struct SmallCellPart {
    ItemId id, radio, mount;
    GridAzimuth azimuth;
    double tiltDeg = 0;
    double hBeamDeg = 65, vBeamDeg = 30; ///< half-power beamwidths, measured off the cut where there is one
    Carrier carrier;
    Hertz frequency;
    int layer = -1; ///< macro layer of the same channel (co-channel), or -1: a carrier of its own
    int resourceBlocks = 0;
    double referencePowerDbm = 0;
    double biasDb = 0;
    bool chosen = true;
};

/// Sight between two antennas at their true heights (never from a 1.5 m map).
struct PairSight {
    double distanceM = 0;    ///< on the ground
    GridAzimuth azimuth;     ///< from the first to the second
    double elevationDeg = 0; ///< of the second seen from the first
    bool clear = false;
    double clearanceM = 0; ///< straight line less worst edge; negative when cut
    ItemId cause;          ///< what cuts it
    double coupledDbm =
        0; ///< reference level of the first's signal at the second's antenna, both patterns counted
};

/// What a small cell overlooks: counted over receivers inside its half-power beam to both sides and in sight.
struct Outlook {
    double costPoints =
        0;              ///< PRB cost in beam and in sight, in points (hundredths) of its cells' PRB, summed
    double floorM2 = 0; ///< floor area in beam and in sight
    double floorMissedM2 = 0; ///< of floorM2, what lies above the upper half-power edge
    double builtShare = 0;    ///< of the in-beam disc sector, share of ground covered by buildings
};

/// A ledger line of one macro cell, in PRB use (share 0..1 of the cell's own PRB).
struct LedgerLine {
    ItemId cell;
    double before = 0; ///< measured
    double fixed = 0;  ///< of it, what cannot move
    struct Part {
        ItemId small;
        double use = 0;    ///< taken off, positive
        double fringe = 0; ///< of it, from fringe or congestion areas
        double own = 0;    ///< of the small cell's PRB: what the same bits take there
    };
    std::vector<Part> relief; ///< by small cell, ascending by id, only those that take something
    double harm = 0;          ///< added by the small cells' interference; settled: less what relieved
                              ///< neighbours no longer add, so that it may be negative
    double after = 0;         ///< before - relief + harm
    double target = 0;
    bool congested = false;
    std::optional<double> holdsMonths; ///< until use reaches the trigger again, kForGoodMonths (holds.h) at
                                       ///< most; empty where it never came down to the target
};

/// What a small cell itself carries.
struct SmallCellUse {
    ItemId small;
    double use = 0; ///< of its own PRB, not clipped
    double cap = 0;
    double biasDb = 0, powerDownDb = 0; ///< what the settled ledger sets; live: as entered and 0
    bool feasible = true;               ///< use <= cap reached
};

struct Ledger {
    enum class Kind { live, settled } kind = Kind::live;
    std::vector<LedgerLine> cells;    ///< ascending by cell id
    std::vector<SmallCellUse> smalls; ///< ascending by id, chosen ones
    bool converged = true;            ///< settled only
    int rounds = 0;
    std::vector<std::string> remarks; ///< clipping, non-convergence, offered load hidden above 85 %
};

struct StudyOptions {
    unsigned threads = 0; ///< 0: one per core
    /// Paths of macro antennas that stay in memory (bytes), for edits of macros and queries to take again:
    /// all of a dozen sites, an eighth of a city with a hundred. No figure depends on it.
    std::size_t keptPathBytes = std::size_t(96) << 20;
};

/// One radio moved, turned or changed, for as long as a drag lasts.
struct Hypothesis {
    std::optional<Mount> mount;
    std::optional<Radio> radio;
    std::optional<SmallCell> smallCell;
    std::vector<Radio> otherRadios = {}; ///< further radios of the same mount, which turn with its wall
};

class StudyCore; // parts and tiles, private to core/study

class Study {
public:
    /// Computes what `plan` needs; parts whose inputs are the same as in `previous` are shared.
    /// advance(nullptr, plan) is the full computation, and both give the same bytes. Cancelled: Error
    /// cancelled, `previous` stays as it is. Refused by a sentence: no frame, an empty or absurdly large work
    /// area, channels outside their bands.
    static Result<std::shared_ptr<const Study>> advance(const std::shared_ptr<const Study>& previous,
                                                        Plan plan,
                                                        const std::shared_ptr<const Terrain>& terrain,
                                                        const StudyOptions& options = {},
                                                        const Job& job = {});

    /// The study as it would be with the hypothesis, by the frame's path: only what the moved radio touches
    /// is computed, totals by difference, exactly what advance() would give. Totals are computed when first
    /// asked for. Not for hypotheses about macros, buildings or several mounts. `this` must outlive nothing:
    /// parts are shared. With a crew it is there sooner; one that other overlays use at the same time needs
    /// none.
    [[nodiscard]] std::shared_ptr<const Study> overlay(const Hypothesis& what, Crew* crew = nullptr) const;

    /// What a frame of a drag is about to ask an overlay for, computed at once by the crew: totals, and the
    /// outlook and the potential of the moved cells. `besides` is the caller's own such work; it may ask for
    /// anything but totals (relief, ledger, fit). The answers are the same as without, they only come sooner.
    void prepare(Crew& crew, std::span<const std::function<void()>> besides = {}) const;

    [[nodiscard]] const Plan& plan() const;
    [[nodiscard]] const Frame& frame() const;
    [[nodiscard]] const Surface& surface() const;
    /// That it was made with: what advance() wants again.
    [[nodiscard]] const std::shared_ptr<const Terrain>& terrain() const;
    [[nodiscard]] const std::vector<Layer>& layers() const;
    [[nodiscard]] std::span<const MacroCell> macroCells() const;
    [[nodiscard]] std::span<const SmallCellPart> smallCells() const;
    [[nodiscard]] const MacroCell* macroCell(ItemId cell) const;
    [[nodiscard]] const SmallCellPart* smallCell(ItemId small) const;
    /// Small cells of one radio, of one mount (indices into smallCells()).
    [[nodiscard]] const MountPart* mount(ItemId mount) const;

    /// Strongest macro level of a layer at a place 1.5 m above ground (dBm); empty where nobody serves or
    /// outside.
    struct Served {
        ItemId cell;
        double levelDbm = 0;
    };
    [[nodiscard]] std::optional<Served> macroAt(int layer, PlanePoint p) const;
    /// The strongest of all layers.
    [[nodiscard]] std::optional<Served> macroAt(PlanePoint p) const;
    /// Level of a small cell at a place 1.5 m above ground (dBm); empty outside its reach.
    [[nodiscard]] std::optional<double> smallAt(ItemId small, PlanePoint p) const;
    /// Level of one macro cell at that place whether or not it serves (dBm); empty out of reach.
    [[nodiscard]] std::optional<double> macroCellAt(ItemId cell, PlanePoint p) const;

    /// How one macro cell reaches a receiver.
    struct MacroPath {
        double levelDbm = 0;                  ///< as macroCellAt
        GridAzimuth azimuth;                  ///< from the antenna to the receiver
        double elevationDeg = 0;              ///< of the receiver from the antenna, up positive
        double distanceM = 0;                 ///< on the plane
        double patternLossDb = 0;             ///< counted in the level
        EntryKind entry = EntryKind::unknown; ///< of the building, inside
    };
    /// To the place 1.5 m above open ground, as the serving map has it; empty inside buildings, out of reach
    /// and outside the area of work.
    [[nodiscard]] std::optional<MacroPath> macroPathTo(ItemId cell, PlanePoint p) const;
    /// To a device `aboveGroundM` up in the building at that place: to the nearest stretch of its facades on
    /// the nearest storey that is computed, entry loss counted. Empty where no building stands, or one
    /// without users.
    [[nodiscard]] std::optional<MacroPath> macroPathInto(ItemId cell, PlanePoint p,
                                                         double aboveGroundM) const;
    /// What the cell's antenna loses (dB, 0 at its peak) towards an elevation, and `offDeg` clockwise off its
    /// azimuth.
    [[nodiscard]] double macroPatternLossDb(ItemId cell, double offDeg, double elevationDeg) const;
    /// Azimuth of the cell's antenna as it is computed.
    [[nodiscard]] GridAzimuth macroAzimuth(ItemId cell) const;

    /// How far from their antenna a cell's users are: as measured (timing advance), and as computed.
    struct UserDistances {
        double stepM = 0;   ///< width of a step, one way; the last step holds everything beyond
        double samples = 0; ///< of the histogram
        bool raked = false; ///< the cell's load is spread as was measured
        std::vector<double> measured, modelled,
            spread;           ///< shares by step: of samples; of demand before and after
        double unreached = 0; ///< share of samples in steps where the model has nobody
    };
    /// Empty where the cell has no histogram of two steps or more.
    [[nodiscard]] std::optional<UserDistances> userDistances(ItemId cell) const;

    /// Channel quality that a cell's users report: as measured, and as computed.
    struct UserCqi {
        double samples = 0; ///< of the histogram; 0 where the cell has none
        /// Shares by CQI 0..15: of samples (empty without any), and of demand as it is spread, its users
        /// spread by shadowing. TS 36.213, table 7.2.3-1 (up to 64QAM); what a CQI takes: cqiAt().
        std::vector<double> measured, computed;
    };
    /// Empty for a cell that serves no demand.
    [[nodiscard]] std::optional<UserCqi> userCqi(ItemId cell) const;

    /// Sight from a small cell's antenna to a macro sector's, or to another mount's. Kept per study.
    [[nodiscard]] PairSight sightToSector(ItemId small, ItemId sector) const;
    [[nodiscard]] PairSight sightToSmall(ItemId small, ItemId other) const;

    [[nodiscard]] Outlook outlook(ItemId small) const;
    /// Share (0..1) of what `small` takes at receivers where `other` is within 6 dB.
    [[nodiscard]] double contestedShare(ItemId small, ItemId other) const;
    /// Share (0..1) of the relief of `small` that lies in fringes or congestion areas; 0 where it relieves
    /// nothing.
    [[nodiscard]] double fringeShare(ItemId small) const;
    /// Total relief of one small cell in points (hundredths of a cell's PRB), summed over macro cells.
    [[nodiscard]] double reliefPoints(ItemId small) const;
    /// What it would take more if macros and other small cells sent nothing on its carrier (share 0..1 of
    /// that).
    [[nodiscard]] double captureLost(ItemId small) const;
    /// Ground metres along the boresight, at 1.5 m, over which the small cell is stronger than every macro of
    /// its carrier (of any carrier where it has its own); up to its reach. First pixel excluded.
    [[nodiscard]] double leadAlongBoresightM(ItemId small) const;

    /// Neighbours at measured loads: exact and instant.
    [[nodiscard]] const Ledger& live() const;

    /// Keys of everything the totals rest on; equal digests mean equal results.
    [[nodiscard]] const StudyCore& core() const { return *m_core; }
    explicit Study(std::shared_ptr<const StudyCore> core) : m_core(std::move(core)) {}

private:
    std::shared_ptr<const StudyCore> m_core;
};

} // namespace fw
