// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "gpkg/sqlite.h"
#include "store/plan_file.h"

namespace fw {

/// Reads and checks a whole plan from an open file, in one transaction of the caller's.
Result<OpenPlan> readPlan(Database& db);

/// Whether a path is an existing regular file that begins as SQLite files do; a sentence otherwise.
Status looksLikePlan(const std::filesystem::path& file);

} // namespace fw
