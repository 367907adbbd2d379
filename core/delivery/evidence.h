// SPDX-License-Identifier: GPL-3.0-or-later
// One page for whoever approves the money: what is gained, how sure that is, and what else could be done.
#pragma once

#include "delivery/map_content.h"
#include "delivery/overview.h"
#include "siting/alternatives.h"
#include "study/chance.h"

#include <array>
#include <string>
#include <vector>

namespace fw {

/// A figure with the words under it.
struct EvidenceFigure {
    std::string value, says;
};

/// A full cell and the ways to relieve it, uses as shares.
struct EvidenceRow {
    std::string name;
    CellCase ways;
    Quantiles after; ///< with the small cells, as drawn
    double reaches = 0;
};

/// Bars of chance of one cell.
struct EvidenceChance {
    std::string name;
    double target = 0, ledger = 0, reaches = 0;
    Quantiles all;
    std::vector<std::pair<std::string, Quantiles>> alone; ///< widest first
};

struct Evidence {
    Overview overview;
    std::array<EvidenceFigure, 5> figures;
    std::vector<EvidenceRow> rows; ///< full cells, fullest first
    MapContent map;
    std::optional<EvidenceChance> chance; ///< of the full cell least sure to come down
    int draws = 0;
    std::vector<std::string> remarks;
};

/// @param ledger  settled. @param chance  drawn round it.
/// Refused by a sentence when no cell is over the trigger: there is nothing to give evidence of.
Result<Evidence> evidenceOf(const Study& study, const Review& review, const Ledger& ledger,
                            const Chance& chance, const Issue& issue = {});

} // namespace fw
