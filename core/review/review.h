// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/job.h"
#include "plan/edit.h"
#include "review/finding.h"
#include "review/rule.h"

namespace fw {

struct ReviewOptions {
    bool remedies = true; ///< the search costs milliseconds a finding; a drag leaves it out
    /// None: all; else only findings about this mount, radio or small cell, what hangs on it and what it
    /// hangs on.
    ItemId only;
    /// Rules about identities (PCI, root sequences) take a look at the ground of all cells. False leaves them
    /// out: reviewAll has no findings of theirs, reviewAfter passes those of `previous` on as they are, for a
    /// plan that is not at rest.
    bool identities = true;
    unsigned threads = 0; ///< of that look; 0: one per core
};

struct Review {
    std::vector<Finding> findings;    ///< by severity falling, then rule in display order, then subjects
    std::vector<ItemId> staleWaivers; ///< of the active variant, ascending
    std::vector<ItemId> blockedItems; ///< small cells, radios and mounts that blocked() knows, ascending
    [[nodiscard]] int count(Severity s, Standing st = Standing::open) const;
    /// Whether a small cell, radio or mount has an open (or now worse) blocking finding. What blocks a mount
    /// blocks all on it; what blocks a small cell blocks its radio and mount, but not their other cells. A
    /// conflict of identities blocks none of them: another number clears it where they are.
    [[nodiscard]] bool blocked(ItemId subject) const;
    bool operator==(const Review&) const = default;
};

/// Runs every rule over a study. Order and bytes do not depend on threads. Stopped: what was found so far,
/// not to be used; the caller asks its stop token.
Review reviewAll(const Study& study, const ReviewOptions& options = {}, const Job& job = {});

/// Keeps what `previous` found for tuples that the change did not touch; the same result as reviewAll(study).
/// Quick for edits of mounts, radios and small cells (an overlay too); after others everything is run again.
/// @param previous  reviewAll of `previousStudy`, with the same `only` or none; its remedies do not matter.
///                  What stays of it is passed on without a copy.
Review reviewAfter(const Study& study, Review previous, const Study& previousStudy,
                   const ReviewOptions& options = {}, const Job& job = {});

/// "Stands, because": the edit that keeps a finding in the active variant; one that was kept before takes the
/// new reason and measured value. Refused without a reason.
Result<Edit> standBecause(const Plan& plan, const Finding& finding, const std::string& reason,
                          const std::string& who, Date when);

} // namespace fw
