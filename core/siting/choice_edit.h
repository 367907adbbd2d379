// SPDX-License-Identifier: GPL-3.0-or-later
// A choice as an edit of the plan, and what it comes to by the full model.
#pragma once

#include "base/working.h"
#include "plan/edit.h"
#include "siting/choice_feed.h"

namespace fw {

/// One undoable edit of the active variant: chosen options become radios with a small cell each; one that
/// stands there as a candidate already, of the same carrier within 1 deg, is marked chosen instead. With
/// `keep` off those chosen so far and not chosen again become candidates.
Result<Edit> choiceEdit(const Plan& plan, const ChoiceFeed& feed, const Choice& choice, bool keep);

/// A new variant with what is chosen, kept cells copied; the active one stays as it is. `name` empty: the
/// next free one.
struct ChoiceVariant {
    Edit edit;
    ItemId variant;
};
Result<ChoiceVariant> choiceVariant(const Plan& plan, const ChoiceFeed& feed, const Choice& choice,
                                    const std::string& name);

/// How one target comes out by the settled ledger.
struct SettledTarget {
    ItemId cell;
    double before = 0, after = 0, target = 0; ///< PRB use
    double relief = 0;                        ///< taken off by small cells, PRB use
    double round0 = 0;                        ///< what the choice reckoned with, PRB use
    std::optional<double> chance; ///< share of draws in which it is reached; only where it was asked for
    double atChance = 0;          ///< PRB use that the chance asked for does not exceed
    [[nodiscard]] bool reached() const { return after <= target + 1e-9; }
    /// What is still too much: of the ledger, or of the use that the chance asked for does not exceed.
    [[nodiscard]] double excess() const { return (chance ? atChance : after) - target; }
};

/// A choice made on a plan and judged by the full model.
struct PlannedChoice {
    ChoiceFeed feed;
    Choice choice;
    std::vector<SettledTarget> targets;
    double reliefPoints = 0; ///< settled, off the targets
    bool settled = true;     ///< false: stopped before the full model judged it; targets are empty then
    bool converged = true;
    int blocks = 0;                    ///< open blocking findings about new small cells
    int rounds = 1;                    ///< choices made until none was ruled out afterwards
    double money = 0;                  ///< of what is new, by the cost table
    std::vector<std::string> newNames; ///< by chosen option: of the small cell in the plan
};

/// Chooses, applies the choice to a copy of the plan, computes and reviews it in full; then, eight times at
/// most, anew: options that the review blocks are ruled out, needs that the full model does not meet are
/// raised by what is missing, and where it meets all of them by far they are lowered, for the objective may
/// count less than it does. Of the sets that meet every target the cheapest is told. Where a chance is asked
/// for, a target is met when the use that this share of the draws does not exceed meets it.
/// @param onPoint  the live curve of the present search; each search begins again at iteration 0.
/// A chance that is none, or asked for with a budget: Error badInput. Cancelled: Error cancelled; where `ask`
/// keeps what was found and a search had begun, its best so far.
Result<PlannedChoice> planChoice(const std::shared_ptr<const Study>& study,
                                 const std::shared_ptr<const Terrain>& terrain, const ChoiceAsk& ask,
                                 const CostTable& costs,
                                 const std::function<void(const ChoicePoint&)>& onPoint = {},
                                 const Job& job = {});

/// The steps behind value, bound and gap of a choice.
Working workingOf(const PlannedChoice& planned, const ChoiceAsk& ask);
/// Why one is in, and what it costs. Of the best left out likewise: what it would add.
Working workingOf(const Plan& plan, const PlannedChoice& planned, const ChoiceAsk& ask,
                  const CostTable& costs, const ChosenOption& option);
/// How one target comes out.
Working workingOf(const Plan& plan, const SettledTarget& target);

} // namespace fw
