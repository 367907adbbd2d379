// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/plan_file.h"

#include "plan/snapshot.h"
#include "store/meta.h"
#include "store/migrate.h"
#include "store/plan_read.h"
#include "store/plan_schema.h"
#include "store/plan_write.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

namespace fw {

namespace {

namespace fs = std::filesystem;

Error inFile(const fs::path& file, Error e) {
    e.context =
        e.context.empty() || e.context == file.string() ? file.string() : file.string() + ", " + e.context;
    return e;
}

// A renamed file is there for good only when its folder is on the disk, too.
void syncFolder(const fs::path& folder) {
    const int fd = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0) return;
    ::fsync(fd);
    ::close(fd);
}

bool isWriteAhead(const fs::path& file) {
    const auto head = headOf(file);
    return head && (*head)[18] == 2; // SQLite file format, 1.3.3
}

// A file that is made under a passing name and takes its place when it is complete, or goes.
class PartFile {
public:
    explicit PartFile(const fs::path& target) : m_target(target), m_part(fs::path(target) += ".part") {
        clear(); // left by a save that was broken off
    }
    ~PartFile() { clear(); }
    PartFile(const PartFile&) = delete;
    PartFile& operator=(const PartFile&) = delete;

    [[nodiscard]] Result<Database> make() const {
        auto db = Database::open(m_part, Database::Mode::create);
        if (!db) return Error{ErrorCode::cannotWrite, db.error().text, m_target.string()};
        return db;
    }
    Status putInPlace() {
        std::error_code failed;
        const auto old = fs::status(m_target, failed);
        if (!failed && fs::exists(old)) fs::permissions(m_part, old.permissions(), failed);
        fs::rename(m_part, m_target, failed);
        if (failed)
            return Error{ErrorCode::cannotWrite,
                         fmt::format("The file cannot be put in its place: {}.", failed.message()),
                         m_target.string()};
        syncFolder(fs::absolute(m_target).parent_path());
        return Done{};
    }

private:
    void clear() const {
        std::error_code ignored;
        fs::remove(m_part, ignored);
        fs::remove(fs::path(m_part) += "-journal", ignored);
    }
    fs::path m_target, m_part;
};

// What an open file says, in whatever format it is.
struct ReadFile {
    OpenPlan open;
    std::int64_t format = kPlanSchemaVersion;
};
Result<ReadFile> readFile(Database& db) {
    FirstFault first; // nothing is read before it is known to be plain tables
    if (const auto schema = lookAtSchema(db, first); !schema) return schema.error();
    const auto meta = readMeta(db);
    if (!meta) return meta.error();
    ReadFile file;
    file.format = meta->schemaVersion;
    if (file.format < kPlanSchemaVersion) {
        if (Status s = checkHull(db); !s.ok()) return s.error();
        auto copy = migratedCopy(db, file.format);
        if (!copy) return copy.error();
        auto open = readPlan(*copy);
        if (!open) return open.error();
        file.open = std::move(*open);
        // Older tables may lack columns; what else is in the way of writing was copied along.
        if (Status s = mayWriteLayers(*copy); !s.ok()) return s.error();
    } else {
        auto open = readPlan(db);
        if (!open) return open.error();
        file.open = std::move(*open);
        if (Status s = mayWriteLayers(db); !s.ok()) return s.error();
    }
    file.open.saveCount = meta->saveCount;
    return file;
}

Error changedByOthers() {
    return {ErrorCode::cannotWrite,
            "Another program has changed the plan's file since it was read. It was left as it is: save under "
            "another name, or open it anew."};
}

Error stopped() { return {ErrorCode::cancelled, "The save was stopped; the plan's file is as it was.", ""}; }

template <class T>
Status statusOf(const Result<T>& r) {
    return r ? Status(Done{}) : Status(r.error());
}

Error failedBy(const std::exception& e, const fs::path& file) {
    return {ErrorCode::internal, fmt::format("The plan's file cannot be worked on: {}.", e.what()),
            file.string()};
}

} // namespace

fs::path backupPathOf(const fs::path& planFile) {
    fs::path name = planFile.filename();
    const fs::path ending = name.extension();
    return planFile.parent_path() / (name.replace_extension() += ".backup") += ending;
}

bool isPlanFile(const fs::path& file) {
    std::error_code fault;
    if (!fs::is_regular_file(file, fault)) return false;
    auto db = Database::open(file, Database::Mode::read);
    if (!db) return false;
    const auto has = db->hasTable("fringewright_meta");
    return has && *has;
}

Result<OpenPlan> openPlan(const fs::path& file) try {
    if (Status s = looksLikePlan(file); !s.ok()) return s.error();
    auto db = Database::open(file, Database::Mode::read);
    if (!db) return inFile(file, db.error());
    if (Status s = db->execute("BEGIN"); !s.ok()) return inFile(file, s.error());
    auto read = readFile(*db);
    if (!read) return inFile(file, read.error());
    read->open.path = file;
    return std::move(read->open);
} catch (const std::exception& e) {
    return failedBy(e, file);
}

Result<std::unique_ptr<PlanFile>> PlanFile::open(const fs::path& file, OpenPlan& opened) try {
    if (Status s = looksLikePlan(file); !s.ok()) return s.error();
    std::error_code failed;
    const fs::path real = fs::canonical(file, failed); // a save that renames must not replace a link
    std::unique_ptr<PlanFile> plan(new PlanFile(failed ? file : real));
    const bool ahead = isWriteAhead(plan->m_path);
    auto db = Database::open(plan->m_path, ahead ? Database::Mode::read : Database::Mode::change);
    if (!db) return inFile(file, db.error());
    if (Status s = db->execute("BEGIN"); !s.ok()) return inFile(file, s.error());
    auto read = readFile(*db);
    if (!read) return inFile(file, read.error());
    const auto version = db->dataVersion();
    if (!version) return inFile(file, version.error());
    if (Status s = db->execute("COMMIT"); !s.ok()) return inFile(file, s.error());
    plan->m_dataVersion = *version;
    plan->m_format = read->format;
    plan->m_saveCount = read->open.saveCount;
    plan->m_saved = read->open.plan;
    plan->m_writable = ahead ? ::access(plan->m_path.c_str(), W_OK) == 0 : db->writable();
    // A write-ahead file is changed by connecting to it for good: that waits for the first save.
    if (!ahead) plan->m_db = std::move(*db);
    opened = std::move(read->open);
    opened.path = file;
    return plan;
} catch (const std::exception& e) {
    return failedBy(e, file);
}

Result<std::unique_ptr<PlanFile>> PlanFile::create(const Plan& plan, const fs::path& file,
                                                   const std::stop_token& stop) try {
    if (Status s = wouldOpen(plan); !s.ok())
        return inFile(file, {s.error().code, "The plan was not saved: " + s.error().text, s.error().context});
    std::error_code failed;
    if (fs::exists(fs::symlink_status(file, failed)))
        if (Status s = looksLikePlan(file); !s.ok())
            return Error{ErrorCode::cannotWrite,
                         "Something that is not a plan is there; save under another name. " + s.error().text,
                         file.string()};
    const fs::path real = fs::weakly_canonical(file, failed);
    std::unique_ptr<PlanFile> made(new PlanFile(failed ? file : real));
    PartFile part(made->m_path);
    {
        auto db = part.make();
        if (!db) return db.error();
        const Database::Stoppable stoppable(*db, stop);
        Status s = db->execute("BEGIN IMMEDIATE");
        if (s.ok()) s = writeNewPlan(*db, plan);
        if (s.ok()) s = db->execute("COMMIT");
        if (stop.stop_requested())
            return Error{ErrorCode::cancelled, "The save was stopped; nothing was written.", file.string()};
        if (!s.ok()) return inFile(file, s.error());
    }
    if (Status s = part.putInPlace(); !s.ok()) return s.error();
    made->m_saved = plan;
    made->m_saveCount = 1;
    made->m_backedUp = true; // there was nothing before
    // Whether this goes well does not matter here: the next save tries again.
    if (Status s = made->connect(); !s.ok()) made->m_db.reset();
    return made;
} catch (const std::exception& e) {
    return failedBy(e, file);
}

Status PlanFile::connect() {
    if (isWriteAhead(m_path) && m_db) m_db.reset(); // another program put it into that mode meanwhile
    if (m_db) return Done{};
    auto db = Database::open(m_path, Database::Mode::change);
    if (!db) return db.error();
    if (m_watch) db->watchRows(m_watch);
    if (Status s = db->execute("BEGIN"); !s.ok()) return s;
    auto read = readFile(*db);
    if (!read) return read.error();
    const auto version = db->dataVersion();
    if (!version) return version.error();
    if (Status s = db->execute("COMMIT"); !s.ok()) return s;
    if (m_attempt && read->open.plan == *m_attempt) {
        m_saved = std::move(*m_attempt);
        m_saveCount = read->open.saveCount;
    } else if (!(read->open.plan == m_saved)) {
        return Error{
            ErrorCode::cannotWrite,
            "Another program has changed the plan's file since it was read. It was left as it is: save "
            "under another name, or open it anew."};
    }
    m_attempt.reset();
    m_format = read->format;
    m_dataVersion = *version;
    m_db = std::move(*db);
    return Done{};
}

// Looks once more whether the file is the one we know, now that nobody else can write to it.
Status PlanFile::begin() {
    if (m_db && m_db->hasMoved()) m_db.reset();
    std::error_code failed;
    if (!fs::exists(m_path, failed))
        return Error{
            ErrorCode::cannotWrite,
            "The plan's file is no longer there: it or its folder was moved or deleted, or the drive is "
            "gone. Put it back, or save under another name."};
    if (Status s = connect(); !s.ok()) return s;
    if (Status s = m_db->execute("BEGIN IMMEDIATE"); !s.ok()) return s;
    const auto version = m_db->dataVersion();
    if (!version) return version.error();
    if (*version == m_dataVersion) return Done{};
    // Changed, perhaps in what is not ours alone: then our rows are still as we know them.
    auto read = readFile(*m_db);
    if (!read) return read.error();
    if (!(read->open.plan == m_saved)) return changedByOthers();
    m_saveCount = read->open.saveCount;
    m_dataVersion = *version;
    m_format = read->format;
    return Done{};
}

// All but the commit, which nothing stops.
Status PlanFile::fill(Database& db, const Plan& plan, const std::stop_token& stop) const {
    const Database::Stoppable stoppable(db, stop);
    if (Status s = writePlanChanges(db, m_saved, plan, diff(m_saved, plan)); !s.ok()) return s;
    if (stop.stop_requested()) return stopped();
    return writeSaveCount(db, m_saveCount + 1);
}

Status PlanFile::writeHere(const Plan& plan, const std::stop_token& stop) {
    if (Status s = fill(*m_db, plan, stop); !s.ok()) return s;
    m_attempt = plan; // from here on it may be in the file whatever the answer
    return m_db->execute("COMMIT");
}

Status PlanFile::writeMigrated(const Plan& plan, const std::stop_token& stop) {
    PartFile part(m_path);
    {
        auto db = part.make();
        if (!db) return db.error();
        // Read by another connection: what writes cannot be copied from. Ours keeps others from writing.
        auto old = Database::open(m_path, Database::Mode::read);
        if (!old) return old.error();
        if (Status s = old->copyInto(*db); !s.ok()) return s;
        if (Status s = db->execute("BEGIN IMMEDIATE"); !s.ok()) return s;
        if (Status s = migrate(*db, m_format); !s.ok()) return s;
        if (Status s = fill(*db, plan, stop); !s.ok()) return s;
        if (Status s = db->execute("COMMIT"); !s.ok()) return s;
    }
    if (Status s = part.putInPlace(); !s.ok()) return s;
    m_db.reset(); // it was the old file's
    m_attempt = plan;
    return connect();
}

Status PlanFile::write(const Plan& plan, const std::stop_token& stop) {
    if (Status s = begin(); !s.ok()) return s;
    return m_format < kPlanSchemaVersion ? writeMigrated(plan, stop) : writeHere(plan, stop);
}

Status PlanFile::save(const Plan& plan, const std::stop_token& stop) try {
    const PlanDiff changes = diff(m_saved, plan);
    if (changes.empty() && m_saved.lastId == plan.lastId) return Done{};
    if (Status s = wouldOpen(plan, changes); !s.ok())
        return inFile(m_path,
                      {s.error().code, "The plan was not saved: " + s.error().text, s.error().context});
    // A backup that fails, for want of room perhaps, is no reason not to save.
    static_cast<void>(backUpOnce());
    if (stop.stop_requested()) return inFile(m_path, stopped());
    const std::int64_t before = m_saveCount;
    if (Status s = write(plan, stop); !s.ok()) {
        if (m_db) m_db->rollBack();
        if (m_attempt) m_db.reset();
        return inFile(m_path, s.error());
    }
    m_attempt.reset();
    m_saved = plan;
    m_saveCount = before + 1;
    return Done{};
} catch (const std::exception& e) {
    return failedBy(e, m_path);
}

Status PlanFile::backUpOnce() try {
    const std::lock_guard one(m_backingUp);
    if (m_backedUp) return Done{};
    auto db = Database::open(m_path, Database::Mode::read);
    if (!db) return db.error();
    PartFile part(backupPathOf(m_path));
    {
        auto copy = part.make();
        if (!copy) return copy.error();
        if (Status s = db->copyInto(*copy); !s.ok()) return s;
    }
    if (Status s = part.putInPlace(); !s.ok()) return s;
    m_backedUp = true;
    return Done{};
} catch (const std::exception& e) {
    return failedBy(e, m_path);
}

void PlanFile::watchRows(std::function<void(std::string_view, std::int64_t)> watch) {
    m_watch = std::move(watch);
    if (m_db) m_db->watchRows(m_watch);
}

Status savePlan(const Plan& plan, const fs::path& file) try {
    std::error_code failed;
    if (!fs::exists(fs::symlink_status(file, failed))) return statusOf(PlanFile::create(plan, file));
    if (Status s = wouldOpen(plan); !s.ok())
        return inFile(file, {s.error().code, "The plan was not saved: " + s.error().text, s.error().context});
    if (Status s = looksLikePlan(file); !s.ok())
        return Error{ErrorCode::cannotWrite,
                     "Something that is not a plan is there; save under another name. " + s.error().text,
                     file.string()};
    OpenPlan there;
    auto open = PlanFile::open(file, there);
    if (!open)
        return Error{open.error().code,
                     "The file there was left as it is; save under another name. " + open.error().text,
                     open.error().context};
    (*open)->m_backedUp = true;
    return (*open)->save(plan);
} catch (const std::exception& e) {
    return failedBy(e, file);
}

} // namespace fw
