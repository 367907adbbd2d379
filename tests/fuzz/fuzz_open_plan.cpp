// SPDX-License-Identifier: GPL-3.0-or-later
// Any bytes as a plan file: refused by a sentence, or a plan that is the same after a save to a new file.
// Check must agree with opening, and what a repair writes must open.
#include "store/folder.h"
#include "store/plan_check.h"
#include "store/plan_file.h"

#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <iostream>
#include <sqlite3.h>

using namespace fw;
namespace fs = std::filesystem;

extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* data, std::size_t size, std::size_t most);

namespace {

/// In memory where the system has a place for that.
const fs::path& folder() {
    static const fs::path path = [] {
        std::string pattern =
            (fs::is_directory("/dev/shm") ? "/dev/shm/" : "/tmp/") + std::string("fw-fuzz-XXXXXX");
        if (!mkdtemp(pattern.data())) std::abort();
        std::atexit([] { fs::remove_all(folder()); });
        return fs::path(pattern);
    }();
    return path;
}

void demand(bool holds, const char* what, const std::string& said = "") {
    if (holds) return;
    std::cerr << what << ": " << said << "\n";
    std::abort();
}

void saveAndCompare(const OpenPlan& open) {
    const fs::path out = folder() / "out.gpkg";
    fs::remove(out);
    const Status saved = savePlan(open.plan, out);
    demand(saved.ok(), "what opened cannot be saved", saved.ok() ? "" : saved.error().sentence());
    const auto again = openPlan(out);
    demand(again.ok(), "what was saved does not open", again ? "" : again.error().sentence());
    demand(again->plan == open.plan, "what was saved is another plan");
    demand(again->plan.lastId == open.plan.lastId, "the counter was lost");
}

// Ways to change a plan that leave it a database: {t} a table, {c} and {d} columns, {v} a value.
constexpr const char* kChanges[] = {
    "UPDATE {t} SET {c}={v}",
    "UPDATE {t} SET {c}={v} WHERE rowid=(SELECT min(rowid) FROM {t})",
    "UPDATE {t} SET {c}={d}",
    "UPDATE {t} SET {c}={c}+1",
    "UPDATE {t} SET {c}=CAST(substr({c}, 1, 13) || x'ff' || substr({c}, 15) AS BLOB)",
    "UPDATE {t} SET {c}=CAST(substr({c}, 1, length({c}) - 8) AS BLOB)",
    "UPDATE {t} SET uid=NULL WHERE rowid=(SELECT max(rowid) FROM {t})",
    "UPDATE settings SET value={v} WHERE rowid=1 + abs(random() % 60)",
    "UPDATE fringewright_meta SET value={v}",
    "DELETE FROM {t} WHERE rowid=(SELECT min(rowid) FROM {t})",
    "DELETE FROM {t}",
    "DROP TABLE {t}",
    "ALTER TABLE {t} DROP COLUMN {c}",
    "ALTER TABLE {t} RENAME COLUMN {c} TO other",
    "ALTER TABLE {t} ADD COLUMN more CHECK (more IS NULL)",
    "CREATE VIEW v AS SELECT * FROM {t}",
    "CREATE INDEX i ON {t} ({c})",
    "CREATE INDEX i ON {t} ({c} + 1)",
    "CREATE TRIGGER t AFTER UPDATE ON {t} BEGIN DELETE FROM mounts; END",
    "DROP TABLE {t}; CREATE VIEW {t} AS SELECT 1 AS uid, 2 AS {c}",
    "PRAGMA encoding='UTF-16'; VACUUM",
};
constexpr const char* kValues[] = {"NULL",
                                   "0",
                                   "-1",
                                   "1",
                                   "3",
                                   "1e308",
                                   "9e999",
                                   "9223372036854775807",
                                   "''",
                                   "'nan'",
                                   "'[1,2]'",
                                   "'[1,'",
                                   "x'4750'",
                                   "CAST(x'ff41' AS TEXT)",
                                   "hex(zeroblob(6000))",
                                   "zeroblob(40)",
                                   "'2026-02-30'",
                                   "(SELECT geom FROM buildings)",
                                   "(SELECT geom FROM mounts)",
                                   "(SELECT max(uid) FROM mounts)",
                                   "uid"};

std::string anyOf(sqlite3* db, const std::string& sql, unsigned pick) {
    sqlite3_stmt* s = nullptr;
    std::vector<std::string> all;
    if (sqlite3_prepare_v2(db, sql.c_str(), -1, &s, nullptr) == SQLITE_OK)
        while (sqlite3_step(s) == SQLITE_ROW)
            if (const auto* text = reinterpret_cast<const char*>(sqlite3_column_text(s, 0)))
                all.emplace_back(text);
    sqlite3_finalize(s);
    return all.empty() ? "mounts" : '"' + all[pick % all.size()] + '"';
}

void replaceAll(std::string& s, const std::string& what, const std::string& by) {
    for (std::size_t at = 0; (at = s.find(what, at)) != std::string::npos; at += by.size())
        s.replace(at, what.size(), by);
}

// Changes the database by one statement; nothing where it is none.
std::string changedBySql(const std::uint8_t* data, std::size_t size, unsigned seed) {
    std::srand(seed);
    const auto pick = [] { return static_cast<unsigned>(std::rand()); };
    sqlite3* db = nullptr;
    if (sqlite3_open(":memory:", &db) != SQLITE_OK) return {};
    auto* bytes = static_cast<unsigned char*>(sqlite3_malloc64(size));
    std::memcpy(bytes, data, size);
    constexpr unsigned kFlags = SQLITE_DESERIALIZE_FREEONCLOSE | SQLITE_DESERIALIZE_RESIZEABLE;
    std::string changed;
    if (sqlite3_deserialize(db, "main", bytes, static_cast<sqlite3_int64>(size),
                            static_cast<sqlite3_int64>(size), kFlags) == SQLITE_OK) {
        sqlite3_progress_handler(
            db, 100000, [](void*) { return 1; }, nullptr);
        const std::string table = anyOf(db, "SELECT name FROM sqlite_master WHERE type='table'", pick());
        const std::string columns =
            "SELECT name FROM pragma_table_info('" + table.substr(1, table.size() - 2) + "')";
        std::string sql = kChanges[pick() % std::size(kChanges)];
        replaceAll(sql, "{t}", table);
        replaceAll(sql, "{c}", anyOf(db, columns, pick()));
        replaceAll(sql, "{d}", anyOf(db, columns, pick()));
        replaceAll(sql, "{v}", kValues[pick() % std::size(kValues)]);
        sqlite3_exec(db, sql.c_str(), nullptr, nullptr, nullptr);
        sqlite3_int64 length = 0;
        if (const unsigned char* all = sqlite3_serialize(db, "main", &length, SQLITE_SERIALIZE_NOCOPY))
            changed.assign(reinterpret_cast<const char*>(all), static_cast<std::size_t>(length));
    }
    sqlite3_close(db);
    return changed;
}

} // namespace

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t most,
                                               unsigned seed) {
    if (seed % 3 != 0) {
        const std::string changed = changedBySql(data, size, seed);
        if (!changed.empty() && changed.size() <= most) {
            std::copy(changed.begin(), changed.end(), data);
            return changed.size();
        }
    }
    return LLVMFuzzerMutate(data, size, most);
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const fs::path file = folder() / "in.gpkg", copy = folder() / "copy.gpkg";
    const std::string bytes(reinterpret_cast<const char*>(data), size);
    testing::writeBytes(file, bytes);
    const auto open = openPlan(file);
    const auto report = checkPlanFile(file);
    if (open) {
        demand(report.ok(), "it opens, and cannot be checked", report ? "" : report.error().sentence());
        saveAndCompare(*open);
    } else {
        demand(open.error().text.size() > 10, "no sentence");
        demand(open.error().text.find("std::") == std::string::npos, "an exception", open.error().text);
        demand(!report || !report->sound(), "check finds nothing", open.error().sentence());
    }
    if (report && size % 4 == 0) {
        fs::remove(copy);
        const auto repaired = repairPlanFile(file, copy);
        demand(repaired.ok(), "it cannot be repaired", repaired ? "" : repaired.error().sentence());
        const auto again = openPlan(copy);
        demand(again.ok(), "the repaired copy does not open", again ? "" : again.error().sentence());
    }
    demand(testing::bytesOf(file) == bytes, "the file was written to");
    return 0;
}
