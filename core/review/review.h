// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/job.h"
#include "plan/edit.h"
#include "review/finding.h"
#include "review/rule.h"

namespace fw {

struct ReviewOptions {
    bool remedies = true; ///< the search costs milliseconds a finding; a drag leaves it out
    ItemId only;          ///< none: all; else only tuples that hold this mount, radio or small cell
};

struct Review {
    std::vector<Finding> findings; ///< by severity falling, then rule in display order, then subjects
    std::vector<ItemId> staleWaivers;
    [[nodiscard]] int count(Severity s, Standing st = Standing::open) const;
    /// Whether a small cell, radio or mount has an open (or now worse) blocking finding.
    [[nodiscard]] bool blocked(ItemId subject) const;
};

/// Runs every rule over a study. Order and bytes do not depend on threads.
Review reviewAll(const Study& study, const ReviewOptions& options = {}, const Job& job = {});

/// Keeps what `previous` found for tuples that the change did not touch; the same result as reviewAll(study).
Review reviewAfter(const Study& study, const Review& previous, const Study& previousStudy,
                   const ReviewOptions& options = {}, const Job& job = {});

/// "Stands, because": the edit that keeps a finding. Refused without a reason.
Result<Edit> standBecause(const Plan& plan, const Finding& finding, const std::string& reason,
                          const std::string& who, Date when);

} // namespace fw
