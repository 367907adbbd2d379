// SPDX-License-Identifier: GPL-3.0-or-later
// The plan as a file: a GeoPackage with layers of plain names that any geographic information system opens.
#pragma once

#include "base/result.h"
#include "plan/plan.h"

#include <filesystem>
#include <string>
#include <vector>

namespace fw {

/// Version of the tables, kept in fringewright_meta. A file of a higher one is refused.
inline constexpr int kPlanSchemaVersion = 1;

struct OpenPlan {
    Plan plan;
    std::filesystem::path path;
    std::vector<std::string> notes; ///< sentences about what was mended or passed over while reading
};

/// Reads a plan; the file is left as it is. Refused by a sentence: what is not an existing regular file, not
/// SQLite, not a plan, of a newer schema (both versions named), or damaged: structure, geometry, values out
/// of range, items that name what is not there. Nothing is read by halves. Rows without a uid (added by
/// another program) are passed over with a note; rings that run the wrong way round are turned with a note.
Result<OpenPlan> openPlan(const std::filesystem::path& file);

/// Writes a plan. A new file is written beside its place and renamed into it; an existing plan is changed in
/// one transaction that touches the rows that differ, so that tables, columns and rows of other programs
/// survive. Nothing is written when the plan would not open again, or when the file there is no plan or
/// cannot be read. Two new files of equal plans (and equal `lastId`) have the same bytes.
Status savePlan(const Plan& plan, const std::filesystem::path& file);

} // namespace fw
