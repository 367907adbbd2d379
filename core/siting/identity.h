// SPDX-License-Identifier: GPL-3.0-or-later
// What the network is to know small cells by: PCI, root sequences, tracking area, base station and cell
// numbers, neighbours, and the bias and power that the settled ledger sets.
#pragma once

#include "base/working.h"
#include "plan/edit.h"
#include "radio/root_sequence.h"
#include "review/finding.h"
#include "siting/pci_plan.h"
#include "study/study.h"

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fw {

struct IdentityOptions {
    IdentitySettings ranges;
    double marginDb = 6;      ///< handover margin: what counts as overlap [prac]
    double leastShare = 0.02; ///< of either cell's ground: below it they are no neighbours [own]
    int mostNeighbours = 32;  ///< of a cell [prac]
    double rootReuseM = 2000; ///< nearer than this no root sequence is shared [own]
    double spreadUs = 5.2083; ///< delay spread; of preamble format 0, TS 36.211 5.7.1 [pub]
    /// Small cells whose PCI, or root sequences, are within the ranges and in no conflict keep them, so that
    /// only the rest get new ones; false: all anew.
    bool keep = true;
    std::map<std::int32_t, PreambleFormat> preambles; ///< by NR-ARFCN, where not as usual (PreambleSpec)
    double shortFromKHz = 30;                         ///< likewise
    std::int64_t steps = 20000;                       ///< of the search through every PCI, per carrier
    unsigned threads = 0;                             ///< 0: one per core
    bool operator==(const IdentityOptions&) const = default;
};
/// What a user says of preambles: "630000=A2, 640000=0"; empty: nothing. Refused by a sentence.
Result<std::map<std::int32_t, PreambleFormat>> preamblesOf(std::string_view text);
/// With the ranges that the plan has, and the limits that its review looks with.
IdentityOptions identityOptionsOf(const Plan& plan);

/// One direction of a neighbour relation.
struct IdentityNeighbour {
    ItemId cell, neighbour;
    double share = 0;     ///< of `cell`'s ground where the neighbour is within the margin
    double shareBack = 0; ///< of the neighbour's ground where `cell` is
    int rank = 1;         ///< among the cell's neighbours, by the larger of the two shares
    bool sameCarrier = false;
    bool operator==(const IdentityNeighbour&) const = default;
};

/// Why a cell keeps a number or is given another.
enum class NumberCause : std::uint8_t {
    inOrder, ///< within the ranges, and in no conflict: kept
    notGiven,
    outOfRange,
    conflict, ///< PCI: one that blocks; root sequences: shared
    noRoom,   ///< in order, but the rest found no room beside it
    anew,     ///< nothing was to be kept
};
struct NumberWhy {
    NumberCause cause = NumberCause::inOrder;
    ItemId against; ///< of a conflict: with whom
    bool operator==(const NumberWhy&) const = default;
};

/// What a small cell is to have. What could not be given is absent, with a remark of the plan.
struct CellPlan {
    ItemId small, mount;
    std::int32_t pciBefore = -1, pci = -1; ///< before -1: none was given
    std::optional<double> reuseM;          ///< to the nearest cell of the carrier with this PCI; empty: none
    int zeroCorrelation = 0;               ///< configuration
    int shift = 0, roots = 0;              ///< N_CS, and root sequences from the first on
    double radiusKm = 0;                   ///< that the shift was chosen for
    PreambleFormat preamble = PreambleFormat::f0;
    std::optional<std::int64_t> rootBefore; ///< absent: none was given, or none of this preamble
    NumberWhy pciWhy, rootWhy;
    std::optional<std::int64_t> firstRoot, trackingArea, node, cellNumber;
    std::optional<std::int64_t> cellIdentity; ///< ECI or NCI of node and cell number
    ItemId host;                              ///< macro cell whose tracking area it takes
    double hostPoints = 0;                    ///< relief that the host has of it, points; 0: host by overlap
    double biasDb = 0, powerDownDb = 0, powerDbm = 0; ///< as the ledger settles; power of all ports
    bool operator==(const CellPlan&) const = default;
};

struct IdentityPlan {
    std::vector<CellPlan> cells;               ///< chosen small cells of the active variant, ascending
    std::vector<IdentityNeighbour> neighbours; ///< pairs with a small cell, both ways; by cell, then rank
    /// What the review finds of identities by these options, by rule, then subjects; without standings.
    std::vector<Finding> before, after;
    std::vector<std::string> remarks;
    bool proven = false; ///< of every carrier: no cheaper choice of PCI exists beside those kept
    IdentityOptions options;
};

/// @param ledger  settled, of this study.
/// PCIs of macros stay as they are; where all macro cells of a technology have one and the same, they count
/// as not known (said in the remarks). Numbers that are in order are kept unless the rest then finds no room.
/// Refused by a sentence: ranges that cannot be read, a plan without chosen small cells. Cancelled: Error
/// cancelled. The same bytes for any number of threads.
Result<IdentityPlan> identify(const Study& study, const Ledger& ledger, const IdentityOptions& options,
                              const Job& job = {});

/// The edit that gives small cells what was planned, and the plan the ranges it was taken from. Bias and
/// power stay as they are: they follow from the ledger, and lowering them twice would be wrong.
Edit identityEdit(const Plan& plan, const IdentityPlan& identities);

/// Whether and why a small cell keeps its PCI and its root sequences: "PCI 12 is kept." or "PCI 12 is new: 7
/// is in conflict with M-3 L1." A sentence each.
std::string whyPci(const Plan& plan, const CellPlan& cell);
std::string whyRoots(const Plan& plan, const CellPlan& cell);
/// One sentence on all of them: how many keep what.
std::string keptSentence(const IdentityPlan& identities);

/// The steps behind one small cell's identities.
Working workingOf(const Study& study, const IdentityPlan& identities, const CellPlan& cell);

} // namespace fw
