// SPDX-License-Identifier: GPL-3.0-or-later
// The variants of a plan beside one another: what each comes to, by the same computation.
#pragma once

#include "base/job.h"
#include "base/working.h"
#include "review/review.h"
#include "siting/variant_cost.h"
#include "study/chance.h"

#include <optional>
#include <string>
#include <vector>

namespace fw {

/// One macro cell's part in the figures of a variant, from the settled ledger.
struct VariantLine {
    ItemId cell;
    bool congested = false;
    double reliefPoints = 0, harmPoints = 0; ///< points (hundredths of the cell's PRB)
    double after = 0, target = 0;            ///< use, 0..1
    std::optional<double> holdsMonths;
    bool operator==(const VariantLine&) const = default;
};

struct VariantFigures {
    ItemId variant;
    std::string name;
    bool active = false;
    int chosen = 0, candidates = 0; ///< small cells
    int mounts = 0;                 ///< that carry chosen ones
    // By the settled ledger:
    int congested = 0, reached = 0; ///< cells over the trigger; of them, those that come down to the target
    double reliefPoints = 0; ///< taken off congested cells, points (hundredths of a cell's PRB), summed
    double harmPoints = 0;   ///< added to all macro cells by interference, likewise
    ItemId worst;            ///< congested cell that stays highest; none without one
    double worstAfter = 0;   ///< its use
    std::optional<double> holdsMonths; ///< until the first congested cell is over the trigger again; absent
                                       ///< where one does not come down at all
    bool converged = true;
    int blocks = 0, warns = 0;      ///< open findings about chosen small cells and what carries them
    std::optional<double> allReach; ///< share of draws in which every congested cell reaches its target
    std::vector<std::pair<ItemId, double>> after; ///< use after of every congested cell, ascending by id
    std::optional<VariantCost> cost;              ///< absent without a table of costs
    std::vector<VariantLine> lines; ///< cells that are congested or hear the small cells, ascending by id
    bool operator==(const VariantFigures&) const = default;
};

struct CompareOptions {
    unsigned threads = 0;   ///< 0: one per core
    int draws = 500;        ///< 0: chances are left out
    std::uint64_t seed = 1; ///< the same for all, so that they differ by the cells alone
    std::optional<CostTable> costs = CostTable{}; ///< absent: costs are left out
};

/// What a study's own variant comes to; without name, chances and cost. @param ledger  settled, of that
/// study.
VariantFigures variantFigures(const Study& study, const Ledger& ledger, const Review& review);

/// The steps to a variant's figures: relief cell by cell, use after against the target, what interference
/// adds, how long each full cell holds.
Working workingOf(const Plan& plan, const VariantFigures& figures);

/// All variants, ascending by id. What they share is computed once. @param active  a study of the plan; the
/// plan itself says which variants there are. Cancelled: Error cancelled.
Result<std::vector<VariantFigures>> compareVariants(const std::shared_ptr<const Study>& active,
                                                    const std::shared_ptr<const Terrain>& terrain,
                                                    const CompareOptions& options = {}, const Job& job = {});

} // namespace fw
