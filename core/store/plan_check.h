// SPDX-License-Identifier: GPL-3.0-or-later
// Damage of a plan file: all of it found and named, and a copy made that opens.
#pragma once

#include "base/result.h"
#include "store/plan_fault.h"

#include <filesystem>
#include <vector>

namespace fw {

struct CheckReport {
    std::vector<PlanFault> faults; ///< in the order in which opening meets them
    std::size_t unlisted = 0;      ///< found beyond AllFaults::kMost
    /// Whether the plan opens, and its terrain: no fault is a PlanFault::Severity::fault.
    [[nodiscard]] bool sound() const;
    [[nodiscard]] std::size_t count(PlanFault::Severity severity) const;
};

/// Every fault of a plan file: structure, tables, values, numbers, references, geometry, settings, terrain,
/// and what the file would have computed. The file is only read. An error: what is not there, no plan, of a
/// newer format, or so broken that nothing in it can be looked at.
Result<CheckReport> checkPlanFile(const std::filesystem::path& file);

struct RepairReport {
    CheckReport before, after;
    bool rebuilt = false; ///< made anew from what could be read; false: a copy with changes
};

/// Checks a plan file and writes a copy without its faults to a place where nothing is yet; of the faults
/// that only the planner can mend nothing is left but those. The file itself is only read. Where its
/// structure is sound the copy keeps all that other programs added. Nothing is written when an error is given
/// back.
Result<RepairReport> repairPlanFile(const std::filesystem::path& file, const std::filesystem::path& copy);

} // namespace fw
