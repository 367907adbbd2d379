// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/meta.h"

#include "gpkg/package.h"
#include "plan/validate.h"
#include "store/plan_file.h"

#include <fmt/format.h>

namespace fw {

namespace {

constexpr const char* kTable = "fringewright_meta";

} // namespace

Status createMeta(Database& db) {
    return db.execute(fmt::format("CREATE TABLE {0} (name TEXT PRIMARY KEY NOT NULL, value INTEGER NOT NULL);"
                                  "INSERT INTO {0} VALUES ('last_id', 0);"
                                  "INSERT INTO {0} VALUES ('save_count', 0);"
                                  "INSERT INTO {0} VALUES ('schema_version', {1});"
                                  "INSERT INTO gpkg_extensions VALUES ('{0}', NULL, 'fringewright_plan', "
                                  "'Version and counters of a Fringewright plan; other programs leave the "
                                  "table as it is.', 'read-write');",
                                  kTable, kPlanSchemaVersion));
}

Status writeLastId(Database& db, ItemId lastId) {
    return db.execute(
        fmt::format("UPDATE {0} SET value={1} WHERE name='last_id' AND value IS NOT {1}", kTable, lastId.v));
}

Status writeSaveCount(Database& db, std::int64_t count) {
    return db.execute(fmt::format("UPDATE {} SET value={} WHERE name='save_count'", kTable, count));
}

Result<PlanMeta> readMeta(Database& db) {
    const auto package = isPackage(db);
    if (!package) return package.error();
    const auto meta = *package ? db.hasTable(kTable) : Result<bool>(false);
    if (!meta) return meta.error();
    if (!*meta)
        return Error{
            ErrorCode::cannotRead,
            "This is a database, but not a plan of this program. Import its layers into a plan instead."};
    const auto version = db.number(fmt::format("SELECT value FROM {} WHERE name='schema_version'", kTable));
    if (!version) return version.error();
    if (*version > kPlanSchemaVersion)
        return Error{ErrorCode::newer,
                     fmt::format("The plan was written in format {}; this program reads up to format {}. "
                                 "Open it with a newer version of the program.",
                                 *version, kPlanSchemaVersion)};
    if (*version < 1)
        return Error{ErrorCode::damaged,
                     fmt::format("The plan names {} as its format; the first one is 1.", *version)};
    const auto lastId = db.number(fmt::format("SELECT value FROM {} WHERE name='last_id'", kTable));
    if (!lastId) return lastId.error();
    if (*lastId < 0 || *lastId > std::int64_t{kHighestId})
        return Error{ErrorCode::damaged,
                     fmt::format("The plan's highest item number is {}; it cannot be.", *lastId)};
    PlanMeta found{*version, {static_cast<std::uint32_t>(*lastId)}, 0};
    if (*version < 2) return found;
    const auto count = db.number(fmt::format("SELECT value FROM {} WHERE name='save_count'", kTable));
    if (!count) return count.error();
    if (*count < 0)
        return Error{ErrorCode::damaged, fmt::format("The plan says it was saved {} times.", *count)};
    found.saveCount = *count;
    return found;
}

} // namespace fw
