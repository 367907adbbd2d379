// SPDX-License-Identifier: GPL-3.0-or-later
// What else could be done about a full cell, and what each would come to: whether it is a case for small
// cells at all.
#pragma once

#include "base/working.h"
#include "study/study.h"

#include <optional>
#include <string>
#include <vector>

namespace fw {

/// What the other ways are reckoned with.
struct AlternativeOptions {
    double newCarrierMHz = 20; ///< width of a carrier that could be lit [prac]
    double splitGain = 1.7;    ///< load that two sectors carry in place of one, by overlap less than 2 [own]
};

enum class Advice : std::uint8_t {
    balance,    ///< spreading the sector's load over its carriers is enough
    smallCells, ///< the chosen small cells bring it down, balancing does not
    otherWays,  ///< the chosen small cells do not; lighting a carrier or splitting the sector would
    combine,    ///< none of them alone is enough
};
/// "balancing", "small cells", "other ways", "several ways".
const char* wordsFor(Advice advice);

/// Uses are shares of the cell's own PRB in the busy hour.
struct CellCase {
    ItemId cell;
    double before = 0, target = 0;
    std::optional<double> fullMonths; ///< doing nothing: until its use is 100 %; absent without growth
    int carriers = 1; ///< of its sector and technology, with a measured use: what all its devices can use
    int otherCarriers = 0; ///< of its sector with a measured use, but of another technology
    double balanced = 0;   ///< if their load were spread evenly over them; as before where there is one
    double lit = 0;        ///< with one carrier more, spread evenly as far as devices have it
    double split = 0;      ///< with the sector split in two
    double small = 0;      ///< with the chosen small cells, by the ledger
    bool chosen = false;   ///< whether any of them takes something off it
    Advice advice = Advice::smallCells;
    std::string reason; ///< one line, with the figures it rests on
};

/// Of every congested cell of the ledger, ascending by id.
/// A carrier's weight is its bandwidth times its downlink share of time: a MHz is taken to carry the same on
/// each (common practice). Carriers of another technology are left out: not every device has it. A new
/// carrier is used by ModelSettings::ownCarrierShare of devices.
std::vector<CellCase> casesOf(const Study& study, const Ledger& ledger,
                              const AlternativeOptions& options = {});
/// Of one cell's line; empty where it is not congested.
std::optional<CellCase> caseOf(const Study& study, const LedgerLine& line,
                               const AlternativeOptions& options = {});

/// The steps behind one case.
Working workingOf(const Study& study, const CellCase& cell, const AlternativeOptions& options = {});

} // namespace fw
