// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/migrate.h"

#include "store/plan_file.h"

#include <array>
#include <fmt/format.h>

namespace fw {

namespace {

// Format 2 counts how often a plan was saved, so that a journal of edits finds the state it began from.
Status countSaves(Database& db) {
    return db.execute("INSERT OR REPLACE INTO fringewright_meta VALUES ('save_count', 0)");
}

// Format 3 knows what the network knows a cell by, and whose aim is locked: nobody's so far.
Status addIdentitiesAndLocks(Database& db) {
    const auto radios = db.columnsOf("radios");
    if (!radios) return radios.error();
    if (!radios->empty() && !radios->contains("aim_locked"))
        for (const char* sql :
             {"ALTER TABLE radios ADD COLUMN aim_locked BOOLEAN", "UPDATE radios SET aim_locked=0"})
            if (Status s = db.execute(sql); !s.ok()) return s;
    for (const char* table : {"cells", "small_cells"}) {
        const auto there = db.columnsOf(table);
        if (!there) return there.error();
        for (const char* column : {"root_sequence", "tracking_area", "cell_identity"}) {
            if (there->empty() || there->contains(column)) continue;
            if (Status s = db.execute(fmt::format("ALTER TABLE {} ADD COLUMN {} INTEGER", table, column));
                !s.ok())
                return s;
        }
    }
    return Done{};
}

// The step at place n leads from format n + 1 to n + 2.
using Migration = Status (*)(Database&);
constexpr std::array<Migration, kPlanSchemaVersion - 1> kSteps{countSaves, addIdentitiesAndLocks};

} // namespace

Status migrate(Database& db, std::int64_t from) {
    for (std::int64_t version = from; version < kPlanSchemaVersion; ++version) {
        if (Status s = kSteps[static_cast<std::size_t>(version - 1)](db); !s.ok()) return s;
        if (Status s = db.execute(fmt::format(
                "UPDATE fringewright_meta SET value={} WHERE name='schema_version'", version + 1));
            !s.ok())
            return s;
    }
    return Done{};
}

Result<Database> migratedCopy(Database& db, std::int64_t from) {
    auto copy = Database::temporary();
    if (!copy) return copy;
    if (Status s = db.copyInto(*copy); !s.ok()) return s.error();
    if (Status s = copy->execute("BEGIN"); !s.ok()) return s.error();
    if (Status s = migrate(*copy, from); !s.ok()) return s.error();
    if (Status s = copy->execute("COMMIT"); !s.ok()) return s.error();
    return copy;
}

} // namespace fw
