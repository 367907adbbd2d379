// SPDX-License-Identifier: GPL-3.0-or-later
// From a study to a problem of choice: who may be chosen, what each would serve, what it costs.
#pragma once

#include "siting/choice_costs.h"
#include "siting/choose.h"
#include "study/azimuth_footprints.h"

#include <set>

namespace fw {

/// What is wanted of a choice.
struct ChoiceAsk {
    std::vector<ItemId> cells; ///< macro cells to relieve; empty: the congested ones
    ChoiceGoal goal = ChoiceGoal::mostRelief;
    bool inMoney = false;              ///< costs by the table; else each new radio counts one
    std::int64_t budget = 0;           ///< with mostRelief: money, or radios
    std::vector<ItemId> must, mustNot; ///< mounts
    bool keep = true;          ///< small cells chosen so far stay, and cost nothing; else everything is free
    bool consentGiven = false; ///< only mounts whose owner agreed; refused ones never come in
    double spacingM = 40;      ///< between two mounts, at least [own]
    int radiosPerMount = 1;
    int perStreet = 0;   ///< radios in a street at most; 0: no limit
    double streetM = 25; ///< to which a mount belongs to its nearest street
    double chance =
        0; ///< with reachTargets: chance at which each target is to be reached, below 1; 0: not asked
    int draws = 300; ///< behind that chance (study/chance.h)
    std::uint64_t seed = 1;
    int iterations = ChooseOptions{}.iterations;
    unsigned threads = 0;
    bool keepStopped = false; ///< stopped while it searches: the best so far, not Error cancelled
};

struct ChoiceFeed {
    /// What one of the problem's mounts stands for.
    struct Spot {
        ItemId mount;
        Radio radio;    ///< as it would be built; azimuth and id are open
        SmallCell cell; ///< likewise
        ItemId kept;    ///< small cell of the plan that stays; none: new
        MountCost cost;
    };
    ChoiceProblem problem;
    std::vector<Spot> spots;   ///< by mount of the problem
    std::vector<ItemId> cells; ///< by target
    std::vector<int> blocked;  ///< azimuths ruled out by geometry, by mount of the problem
    std::vector<std::string> remarks;
};

/// @param ledger  says which cells are congested and what they need: before less target.
/// A mount's own radio is the pattern for what it would carry, else the first of the variant, else a small
/// cell's usual values on the carrier of the first cell to be relieved. Ruled out beforehand: azimuths that
/// face a macro of the same carrier in sight within the limit that blocks, or whose beam ends at a wall, both
/// by the limits of the review; refused consent. Refused by a sentence: no cell to relieve, names that are no
/// mount, nothing to choose among.
Result<ChoiceFeed> choiceFeed(const Study& study, const Ledger& ledger, const ChoiceAsk& ask,
                              const CostTable& costs, const Job& job = {});

/// Azimuth of a step, true.
inline TrueAzimuth azimuthOf(std::uint16_t step) { return TrueAzimuth::of(step * kFootprintStepDeg); }

} // namespace fw
