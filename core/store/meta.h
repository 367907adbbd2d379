// SPDX-License-Identifier: GPL-3.0-or-later
// The table by which a file says that it is a plan, and of which schema.
#pragma once

#include "base/id.h"
#include "gpkg/sqlite.h"

namespace fw {

struct PlanMeta {
    std::int64_t schemaVersion = 0;
    ItemId lastId;              ///< highest id ever given, so that none is used twice
    std::int64_t saveCount = 0; ///< how often it was saved; 0 in format 1, which did not count
};

Status createMeta(Database& db);
Status writeLastId(Database& db, ItemId lastId);
Status writeSaveCount(Database& db, std::int64_t count);
/// Refuses by a sentence what is no plan and what is of a newer schema.
Result<PlanMeta> readMeta(Database& db);

} // namespace fw
