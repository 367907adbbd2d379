// SPDX-License-Identifier: GPL-3.0-or-later
// Older plans brought to the format of today, one format at a time.
#pragma once

#include "gpkg/sqlite.h"

namespace fw {

/// Takes the tables of a plan from format `from` (at least 1) step by step to kPlanSchemaVersion, within a
/// transaction of the caller's. For a copy: the plan file itself stays as it is until it is saved.
Status migrate(Database& db, std::int64_t from);

/// A temporary copy in today's format of a plan in an older one.
Result<Database> migratedCopy(Database& db, std::int64_t from);

} // namespace fw
