// SPDX-License-Identifier: GPL-3.0-or-later
// All cells of a study with their identities and neighbour relations: what the identity plan is made on
// (core/siting) and what the rules about identities look at. One idea of a conflict for both.
#pragma once

#include "base/job.h"
#include "plan/items.h"
#include "radio/root_sequence.h"
#include "review/limits.h"
#include "study/study.h"

#include <map>
#include <string>
#include <utility>
#include <vector>

namespace fw {

struct NetCell {
    ItemId id, mount; ///< mount: of a small cell
    std::string name;
    Carrier carrier;
    PlanePoint at;
    std::int32_t pci = -1; ///< -1: not known
    CellIdentity identity;
    ZeroCorrelation zone; ///< by how far the cell is reckoned with
    double radiusKm = 0;
    bool small = false;
    PreambleFormat preamble = PreambleFormat::f0;
};

/// A relation of two cells by place, a < b.
struct NetRelation {
    std::size_t a = 0, b = 0;
    double ab = 0, ba = 0; ///< share of a's ground where b is within the margin, and the other way
    [[nodiscard]] double strength() const { return ab > ba ? ab : ba; }
};

using CarrierKey = std::pair<Technology, std::int32_t>;

/// Which preambles cells use.
struct PreambleSpec {
    /// NR carriers of time division with this subcarrier spacing or more use short ones [prac], of the
    /// shortest format that holds the cell (shortFormatFor); all others format 0.
    double shortFromKHz = 30;
    std::map<std::int32_t, PreambleFormat> byChannel; ///< NR-ARFCN: as somebody says, which goes first
    bool operator==(const PreambleSpec&) const = default;
    [[nodiscard]] PreambleFormat of(const Carrier& carrier, double radiusKm) const;
};

/// Who counts as a neighbour.
struct NeighbourSpec {
    double marginDb = 6;              ///< handover margin: what counts as overlap [prac]
    double leastShare = 0.02;         ///< of either cell's ground: below it they are no neighbours [own]
    int mostNeighbours = 32;          ///< of a cell [prac]
    double spreadUs = kFormat0Spread; ///< delay spread that long preambles must hold
    unsigned threads = 0;             ///< 0: one per core
    PreambleSpec preambles;
};
/// As the profile has it (pci-collision.margin and .share, pci-confusion.neighbours,
/// root-sequence-overlap.short-from).
NeighbourSpec neighbourSpecOf(const Limits& limits);

/// Cells ascending by id: macro cells, and the chosen small cells of the active variant.
struct IdentityNet {
    std::vector<NetCell> cells;
    std::vector<NetRelation> relations;               ///< by a, then b
    std::vector<std::vector<std::size_t>> neighbours; ///< by cell: places in `relations`, strongest first
    std::vector<std::string> remarks;

    [[nodiscard]] std::size_t place(ItemId id) const; ///< cells.size() where it is not there
    [[nodiscard]] bool sameCarrier(std::size_t a, std::size_t b) const {
        return cells[a].carrier.technology == cells[b].carrier.technology &&
               cells[a].carrier.channel == cells[b].carrier.channel;
    }
    [[nodiscard]] std::size_t otherOf(std::size_t relation, std::size_t cell) const {
        return relations[relation].a == cell ? relations[relation].b : relations[relation].a;
    }
    /// Null: they are no neighbours.
    [[nodiscard]] const NetRelation* between(std::size_t a, std::size_t b) const;
    /// Places of its cells by carrier.
    [[nodiscard]] std::map<CarrierKey, std::vector<std::size_t>> carriers() const;
    /// Pairs of one carrier that some cell has both as neighbours, and that cell; a < b, the lowest such cell
    /// of each pair, of two macro cells rather a small one. Pairs of neighbours may be among them.
    [[nodiscard]] std::map<std::pair<std::size_t, std::size_t>, std::size_t> secondTier() const;

    /// Both known, on one carrier and equal.
    [[nodiscard]] bool samePci(std::size_t a, std::size_t b) const;
    /// Both known, on one carrier, with a root sequence in common, and neighbours or nearer than `reuseM`.
    [[nodiscard]] bool shareRoots(std::size_t a, std::size_t b, double reuseM) const;
    /// A conflict between macro cells alone is not this plan's to mend.
    [[nodiscard]] bool concerns(std::size_t a, std::size_t b) const {
        return cells[a].small || cells[b].small;
    }
    /// Their ids, a small cell first, then the lower place.
    [[nodiscard]] std::vector<ItemId> subjects(std::size_t a, std::size_t b) const;
};

/// The net as the plan of the study has it. What is not known of a cell: a PCI where all macro cells of a
/// technology have one and the same (said in the remarks), or where a small cell has 0 and nothing else
/// either; root sequences that the plan leaves out, or that its preambles do not have (said too). Takes a
/// look at all ground (study/overlap.h): for a plan at rest. Stopped: without relations. The same for any
/// number of threads.
IdentityNet identityNetOf(const Study& study, const NeighbourSpec& spec, const Job& job = {});

/// The same by the profile of the study's plan; without cells where no two have anything known that could be
/// in conflict, which costs no look at the ground.
IdentityNet reviewNetOf(const Study& study, const Limits& limits, unsigned threads = 0, const Job& job = {});

} // namespace fw
