// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "gpkg/sqlite.h"
#include "store/plan_fault.h"
#include "store/plan_file.h"

namespace fw {

/// Reads and checks a whole plan from an open file, in one transaction of the caller's.
Result<OpenPlan> readPlan(Database& db);

/// The same, with faults told to a sink. When the sink goes on, the plan holds what is sound: rows with a
/// fault are set aside with all that hangs on them, optional references that name nothing are empty, settings
/// that cannot be read have their defaults. An error then means that this is no plan, or that nothing can be
/// read.
Result<OpenPlan> readPlan(Database& db, FaultSink& sink);

/// Whether schema and structure are such that the file can be worked on at all; before a copy of it is made.
Status checkHull(Database& db);

/// Whether a path is an existing regular file that begins as SQLite files do; a sentence otherwise.
Status looksLikePlan(const std::filesystem::path& file);

} // namespace fw
