// SPDX-License-Identifier: GPL-3.0-or-later
// The plan as a file: a GeoPackage with layers of plain names that any geographic information system opens.
#pragma once

#include "base/result.h"
#include "gpkg/sqlite.h"
#include "plan/plan.h"

#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <vector>

namespace fw {

/// Version of the tables, kept in fringewright_meta. A file of a higher one is refused, one of a lower one is
/// read through a migrated copy and brought up to this one when it is saved.
inline constexpr int kPlanSchemaVersion = 3;

struct OpenPlan {
    Plan plan;
    std::filesystem::path path;
    std::vector<std::string> notes; ///< sentences about what was mended or passed over while reading
    std::int64_t saveCount = 0;     ///< how often the plan was saved; 0 for one of format 1
};

/// Reads a plan; the file is left as it is. Refused by a sentence: what is not an existing regular file, not
/// SQLite, not a plan, of a newer schema (both versions named), or damaged: structure, geometry, values out
/// of range, items that name what is not there. Nothing is read by halves. Rows without a uid (added by
/// another program) are passed over with a note; rings that run the wrong way round are turned with a note.
Result<OpenPlan> openPlan(const std::filesystem::path& file);

/// Whether a file looks like a plan: a database with our table of its version. Cheap; says nothing about
/// damage.
bool isPlanFile(const std::filesystem::path& file);

/// Writes a plan once, as PlanFile::create or, over an existing plan, as open and save of PlanFile do. Two
/// new files of equal plans (and equal `lastId`) have the same bytes.
Status savePlan(const Plan& plan, const std::filesystem::path& file);

/// Where the copy of a plan as it was opened is kept: beside it, "town.plan.gpkg" as "town.plan.backup.gpkg".
std::filesystem::path backupPathOf(const std::filesystem::path& planFile);

/// The file of a plan that is open. It knows the plan as last saved, so that a save costs what changed.
/// For one thread at a time, backUpOnce() apart.
class PlanFile {
public:
    /// Reads a plan as openPlan() does and holds on to its file.
    static Result<std::unique_ptr<PlanFile>> open(const std::filesystem::path& file, OpenPlan& opened);
    /// Writes a new file beside its place and renames it into it. Refused when anything is there but a plan,
    /// which is replaced; what other programs had put into that one is gone with it. Stopped before all is
    /// written: Error cancelled, and what was there still is.
    static Result<std::unique_ptr<PlanFile>> create(const Plan& plan, const std::filesystem::path& file,
                                                    const std::stop_token& stop = {});

    /// Writes what differs from saved(), in one transaction that touches no other row, so that tables,
    /// columns and rows of other programs survive. Refused by a sentence, file and saved() as they were: the
    /// plan would not open again, the file was moved, deleted or replaced, another program changed it since
    /// it was read or written, it cannot be written. A plan of an older format is migrated on a copy that
    /// then takes its place. Stopped before all is written: Error cancelled, likewise.
    Status save(const Plan& plan, const std::stop_token& stop = {});

    /// Copies the file, as it is now, to backupPathOf() unless that was done before or the file was created
    /// here. save() does it before it writes; to have it done beforehand call it from any thread.
    Status backUpOnce();

    [[nodiscard]] const Plan& saved() const { return m_saved; }
    [[nodiscard]] std::int64_t saveCount() const { return m_saveCount; }
    [[nodiscard]] const std::filesystem::path& path() const { return m_path; }
    /// False when the file or its folder cannot be written.
    [[nodiscard]] bool writable() const { return m_writable; }
    /// Calls `watch` for every row that the following saves touch, those of triggers included.
    void watchRows(std::function<void(std::string_view table, std::int64_t row)> watch);

private:
    friend Status savePlan(const Plan&, const std::filesystem::path&);
    explicit PlanFile(std::filesystem::path path) : m_path(std::move(path)) {}
    Status connect();
    Status begin();
    Status write(const Plan& plan, const std::stop_token& stop);
    Status fill(Database& db, const Plan& plan, const std::stop_token& stop) const;
    Status writeHere(const Plan& plan, const std::stop_token& stop);
    Status writeMigrated(const Plan& plan, const std::stop_token& stop);

    std::filesystem::path m_path;
    std::optional<Database> m_db; ///< empty where the file was in write-ahead mode, or after a failure
    std::int64_t m_dataVersion = 0, m_format = kPlanSchemaVersion, m_saveCount = 0;
    Plan m_saved;
    std::optional<Plan> m_attempt; ///< what a save that failed at its end may have written all the same
    bool m_writable = true;
    std::function<void(std::string_view, std::int64_t)> m_watch;
    std::mutex m_backingUp;
    bool m_backedUp = false;
};

} // namespace fw
