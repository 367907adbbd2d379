// SPDX-License-Identifier: GPL-3.0-or-later
// What is doubtful in an inventory of macro sites, sectors and cells, with a proposal each. An audit changes
// nothing.
#pragma once

#include "calibration/measured_point.h"
#include "plan/edit.h"
#include "review/finding.h"

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace fw {

/// One doubtful thing.
struct AuditFinding {
    std::string check; ///< id of the check, e.g. "equal-azimuths"
    /// block: the plan cannot be computed with it. warn: results near it are wrong if it is wrong. note: to
    /// be known.
    Severity severity = Severity::warn;
    std::vector<ItemId> subjects; ///< in the check's order; empty where it is about no item of the plan
    Quantity measured, limit;
    std::string text;              ///< one sentence with names and numbers
    std::string source;            ///< of the limit: a clause, "common practice" or "own judgement"
    std::string proposal;          ///< what to do, or to find out, as a sentence
    std::optional<Edit> edit = {}; ///< does what `proposal` says; absent where only the planner can know
    bool operator==(const AuditFinding&) const = default;
};

/// What is known besides the plan. All of it may be missing; checks that need it then find nothing.
struct AuditEvidence {
    std::span<const MeasuredPoint> measured;
    std::span<const std::string> countedCells; ///< names of cells that a file of counters has
};

class AuditView; // intake/audit/view.h

/// A check knows no screen and no other check.
struct AuditCheck {
    const char* id;    ///< stable
    const char* title; ///< for people
    const char* why;   ///< one sentence
    void (*run)(const AuditView&, std::vector<AuditFinding>&);
};
/// The explicit table, in display order.
std::span<const AuditCheck> auditChecks();

/// Runs all checks: by severity falling, then in the order of the table, then by subjects. Pure; the same
/// plan and evidence give the same findings. Each edit stands on its own, made for this plan; those of one
/// check go together, whichever of them are applied.
std::vector<AuditFinding> auditInventory(const Plan& plan, const AuditEvidence& evidence = {});

} // namespace fw
