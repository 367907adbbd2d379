// SPDX-License-Identifier: GPL-3.0-or-later
#include "gpkg/sqlite.h"

#include "gpkg/sql_words.h"
#include "gpkg/trigger_guard.h"

#include <algorithm>
#include <cstdlib>
#include <fmt/format.h>
#include <sqlite3.h>
#include <unistd.h>

namespace fw {

namespace {

// What SQLite's answer means to whoever wanted the file, and what they can do.
struct Meaning {
    ErrorCode code;
    const char* text;
};
Meaning meaningOf(int sqlite) {
    switch (sqlite & 0xff) {
    case SQLITE_CORRUPT:
        return {ErrorCode::damaged, "The file is damaged"};
    case SQLITE_FULL:
        return {ErrorCode::cannotWrite, "The disk is full. Make room, or save to another disk"};
    case SQLITE_READONLY:
        return {ErrorCode::cannotWrite,
                "The file or its folder may not be written. Save under another name or in another folder"};
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return {ErrorCode::cannotWrite,
                "Another program is using the file just now. Try again when it is done"};
    case SQLITE_IOERR:
        return {ErrorCode::cannotWrite,
                "The disk or the network drive under the file failed. Look whether it is "
                "still there, and try again or use another disk"};
    case SQLITE_CANTOPEN:
        return {
            ErrorCode::cannotRead,
            "The file, or one that is needed beside it, cannot be opened. Look whether its folder is still "
            "there and may be written"};
    case SQLITE_NOTADB:
        return {ErrorCode::cannotRead, "The file is not a database"};
    case SQLITE_INTERRUPT:
        return {ErrorCode::cancelled, "It was stopped"};
    case SQLITE_TOOBIG:
        return {ErrorCode::damaged, "The file holds a value that is larger than any of a plan can be"};
    case SQLITE_AUTH:
        return {ErrorCode::damaged,
                "The file carries a trigger that would change or look up other things while "
                "a plan is saved, and that is not let run"};
    default:
        return {ErrorCode::cannotRead, "The file cannot be worked on"};
    }
}

Error errorOf(sqlite3* db, const std::string& file) {
    const std::string_view said = sqlite3_errmsg(db);
    // A function that is refused comes as a plain error, unlike everything else that is.
    const bool refused = said.substr(0, 14) == "not authorized";
    const Meaning meaning = meaningOf(refused ? SQLITE_AUTH : sqlite3_extended_errcode(db));
    return {meaning.code, fmt::format("{} ({}).", meaning.text, said), file};
}

Error statementError(sqlite3_stmt* statement) { return errorOf(sqlite3_db_handle(statement), {}); }

// A file that another program left in write-ahead mode, without the log beside it, holds all its data itself.
// It is then read as it lies; SQLite would otherwise put files of its own beside it.
bool isLoneWriteAhead(const std::filesystem::path& file) {
    const auto head = headOf(file);
    std::error_code failed;
    const auto log = std::filesystem::path(file) += "-wal";
    return head && (*head)[18] == 2 && !std::filesystem::exists(log, failed);
}

// SQLite file format, 1.3.3: bytes 18 and 19 are 2 in write-ahead mode.
std::string asUri(const std::filesystem::path& file, bool immutable) {
    std::string uri = "file:";
    for (const char c : std::filesystem::absolute(file).string()) {
        const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                           c == '/' || c == '.' || c == '-' || c == '_';
        if (plain)
            uri += c;
        else
            uri += fmt::format("%{:02X}", static_cast<unsigned char>(c));
    }
    return immutable ? uri + "?immutable=1" : uri;
}

// Bounds for files of unknown origin, each far above what a plan or a program that works beside us needs.
void setLimits(sqlite3* db) {
    constexpr std::array<std::pair<int, int>, 11> kLimits{{
        {SQLITE_LIMIT_LENGTH,
         80 << 20}, // a value or row: outlines of 5 million corners, journal rows of 64 MiB
        {SQLITE_LIMIT_SQL_LENGTH, 1 << 20}, // a statement, one of the schema too: ours have some kilobytes
        {SQLITE_LIMIT_COLUMN, 2000},        // as the database itself: other programs have wide tables
        {SQLITE_LIMIT_EXPR_DEPTH, 250},     // ours have three levels; deep ones eat the stack
        {SQLITE_LIMIT_COMPOUND_SELECT, 50}, // we join none; views of others are not run
        {SQLITE_LIMIT_VDBE_OP, 1000000},    // steps of a statement: the check of 5,000 tables takes half
        {SQLITE_LIMIT_FUNCTION_ARG, 100},   // the most that the schema of any program is seen to use is 4
        {SQLITE_LIMIT_ATTACHED, 0},         // a plan is one file
        {SQLITE_LIMIT_LIKE_PATTERN_LENGTH, 100}, // we match none; long ones take quadratic time
        {SQLITE_LIMIT_VARIABLE_NUMBER, 250},     // our widest statement has some forty
        {SQLITE_LIMIT_TRIGGER_DEPTH, 4},         // a spatial index needs one
    }};
    for (const auto& [what, most] : kLimits) sqlite3_limit(db, what, most);
    sqlite3_limit(db, SQLITE_LIMIT_WORKER_THREADS, 0); // one thread a connection, as everything here
}

// Has the schema read in once; false where that takes far longer than for any plan. Each entry is parsed, and
// SQLite knows no bound of its own: it is asked by steps, of which an entry takes nine.
bool loadsSchema(sqlite3* db) {
    constexpr int kSteps = 1000, kMost = 180; // some 20,000 entries
    int asked = 0;
    sqlite3_progress_handler(
        db, kSteps, [](void* n) { return ++*static_cast<int*>(n) > kMost ? 1 : 0; }, &asked);
    sqlite3_exec(db, "SELECT 1 FROM sqlite_master LIMIT 1", nullptr, nullptr, nullptr);
    sqlite3_progress_handler(db, 0, nullptr, nullptr);
    return asked <= kMost; // any other fault shows where the file is read
}

// Whether a check of a table's structure would compute what the file says: columns made from others, and
// indices over expressions or a part of the rows.
bool computes(const std::string& sql, bool table) {
    const auto words = sqlWords(sql);
    if (table) return std::any_of(words.begin(), words.end(), [](const SqlWord& w) { return w.is("AS"); });
    const auto opens =
        std::count_if(words.begin(), words.end(), [](const SqlWord& w) { return w.isSign('('); });
    return opens > 1 ||
           std::any_of(words.begin(), words.end(), [](const SqlWord& w) { return w.is("WHERE"); });
}

} // namespace

void Statement::Finalize::operator()(sqlite3_stmt* s) const { sqlite3_finalize(s); }
void Database::Close::operator()(sqlite3* db) const { sqlite3_close_v2(db); }

void Statement::bind(int at, std::int64_t v) { sqlite3_bind_int64(m_statement.get(), at, v); }
void Statement::bind(int at, double v) { sqlite3_bind_double(m_statement.get(), at, v + 0.0); }
void Statement::bind(int at, std::string_view text) {
    sqlite3_bind_text64(m_statement.get(), at, text.empty() ? "" : text.data(), text.size(), SQLITE_TRANSIENT,
                        SQLITE_UTF8);
}
void Statement::bindBlob(int at, const std::string& bytes) {
    sqlite3_bind_blob64(m_statement.get(), at, bytes.data(), bytes.size(), SQLITE_TRANSIENT);
}
void Statement::bindNull(int at) { sqlite3_bind_null(m_statement.get(), at); }

Result<bool> Statement::step() {
    const int r = sqlite3_step(m_statement.get());
    if (r == SQLITE_ROW) return true;
    if (r == SQLITE_DONE) return false;
    return statementError(m_statement.get());
}

Status Statement::run() {
    const int r = sqlite3_step(m_statement.get());
    const bool done = r == SQLITE_DONE || r == SQLITE_ROW;
    Status s = Done{};
    if (!done) s = statementError(m_statement.get());
    reset();
    return s;
}

void Statement::reset() {
    sqlite3_reset(m_statement.get());
    sqlite3_clear_bindings(m_statement.get());
}

bool Statement::isNull(int c) const { return sqlite3_column_type(m_statement.get(), c) == SQLITE_NULL; }
bool Statement::isInteger(int c) const { return sqlite3_column_type(m_statement.get(), c) == SQLITE_INTEGER; }
bool Statement::isNumber(int c) const {
    return isInteger(c) || sqlite3_column_type(m_statement.get(), c) == SQLITE_FLOAT;
}
bool Statement::isText(int c) const { return sqlite3_column_type(m_statement.get(), c) == SQLITE_TEXT; }
bool Statement::isBlob(int c) const { return sqlite3_column_type(m_statement.get(), c) == SQLITE_BLOB; }
std::int64_t Statement::integer(int c) const { return sqlite3_column_int64(m_statement.get(), c); }
double Statement::real(int c) const { return sqlite3_column_double(m_statement.get(), c); }
std::string Statement::text(int c) const {
    const auto* bytes = reinterpret_cast<const char*>(sqlite3_column_text(m_statement.get(), c));
    return bytes ? std::string(bytes, static_cast<std::size_t>(sqlite3_column_bytes(m_statement.get(), c)))
                 : std::string();
}
std::string_view Statement::blob(int c) const {
    const auto* bytes = static_cast<const char*>(sqlite3_column_blob(m_statement.get(), c));
    return bytes
               ? std::string_view(bytes, static_cast<std::size_t>(sqlite3_column_bytes(m_statement.get(), c)))
               : std::string_view();
}

Result<Database> Database::open(const std::filesystem::path& file, Mode mode) {
    std::error_code failed;
    const bool exists = std::filesystem::is_regular_file(file, failed);
    if (mode != Mode::create && !exists)
        return Error{ErrorCode::notFound, "There is no such file.", file.string()};
    if (mode == Mode::create && std::filesystem::exists(file, failed))
        return Error{ErrorCode::cannotWrite, "A file of that name is already there.", file.string()};
    int flags = SQLITE_OPEN_URI | SQLITE_OPEN_PRIVATECACHE | SQLITE_OPEN_NOMUTEX;
    const bool brokenOff = std::filesystem::exists(std::filesystem::path(file) += "-journal", failed);
    flags |= mode == Mode::read && !brokenOff ? SQLITE_OPEN_READONLY : SQLITE_OPEN_READWRITE;
    if (mode == Mode::create) flags |= SQLITE_OPEN_CREATE;
    auto db = connect(asUri(file, mode == Mode::read && isLoneWriteAhead(file)), flags, file.string());
    if (!db || mode == Mode::read) return db;
    if (Status s = db->execute("PRAGMA journal_mode=DELETE; PRAGMA synchronous=FULL;"); !s.ok())
        return s.error();
    return db;
}

Result<Database> Database::temporary() {
    return connect("", SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_NOMUTEX, "");
}

Result<Database> Database::connect(const std::string& uri, int flags, const std::string& name) {
    sqlite3* raw = nullptr;
    const int r = sqlite3_open_v2(uri.c_str(), &raw, flags, nullptr);
    Database db;
    db.m_db.reset(raw);
    db.m_file = name;
    if (r != SQLITE_OK) return db.failure();
    sqlite3_extended_result_codes(raw, 1);
    sqlite3_db_config(raw, SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
    sqlite3_db_config(raw, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
    sqlite3_db_config(raw, SQLITE_DBCONFIG_ENABLE_TRIGGER, 1, nullptr);
    sqlite3_busy_timeout(raw, 2000);
    setLimits(raw);
    if (!loadsSchema(raw))
        return Error{ErrorCode::damaged,
                     "The file holds far more tables, views, indices and triggers than a plan.", name};
    guardTriggers(raw);
    // Rules of the file (CHECK) are not computed, neither for a check of its structure nor in a save: the
    // tables of a plan have none. A header cannot ask for a large cache.
    if (Status s = db.execute("PRAGMA trusted_schema=OFF; PRAGMA cell_size_check=ON; "
                              "PRAGMA ignore_check_constraints=ON; PRAGMA cache_size=-16384;");
        !s.ok())
        return s.error();
    return db;
}

Error Database::failure() const {
    if (!m_db) return {ErrorCode::cannotRead, "There is not enough memory to open the file.", m_file};
    return errorOf(m_db.get(), m_file);
}

Result<Statement> Database::prepare(const std::string& sql) {
    sqlite3_stmt* raw = nullptr;
    if (sqlite3_prepare_v2(m_db.get(), sql.c_str(), static_cast<int>(sql.size()), &raw, nullptr) != SQLITE_OK)
        return failure();
    Statement s;
    s.m_statement.reset(raw);
    return s;
}

void Database::trustSchema(bool trust) {
    sqlite3_db_config(m_db.get(), SQLITE_DBCONFIG_TRUSTED_SCHEMA, trust ? 1 : 0, nullptr);
}

Status Database::execute(const std::string& sql) {
    if (sqlite3_exec(m_db.get(), sql.c_str(), nullptr, nullptr, nullptr) != SQLITE_OK) return failure();
    return Done{};
}

Result<std::int64_t> Database::number(const std::string& sql) {
    auto statement = prepare(sql);
    if (!statement) return statement.error();
    auto row = statement->step();
    if (!row) return row.error();
    if (!*row) return Error{ErrorCode::damaged, "An entry that must be there is missing.", m_file};
    return statement->integer(0);
}

Result<bool> Database::hasTable(const std::string& name) {
    auto statement = prepare("SELECT sql FROM sqlite_master WHERE type='table' AND name=?");
    if (!statement) return statement.error();
    statement->bind(1, std::string_view(name));
    const auto row = statement->step();
    if (!row) return row.error();
    if (!*row) return false;
    const auto words = sqlWords(statement->text(0), 2);
    return words.size() > 1 && words[1].is("TABLE");
}

Result<std::vector<std::string>> Database::structureChecks(const std::string& pragma, int most) {
    auto rows = prepare("SELECT tbl_name, sql, type FROM sqlite_master WHERE type IN ('table', 'index')");
    if (!rows) return rows.error();
    std::set<std::string> tables, computing;
    for (;;) {
        const auto row = rows->step();
        if (!row) return row.error();
        if (!*row) break;
        const bool table = rows->text(2) == "table";
        if (table) tables.insert(rows->text(0));
        if (computes(rows->text(1), table)) computing.insert(rows->text(0));
    }
    std::vector<std::string> checks;
    if (computing.empty()) checks.push_back(fmt::format("PRAGMA {}({})", pragma, most));
    for (const std::string& table : tables)
        if (!computing.empty() && !computing.contains(table))
            checks.push_back(fmt::format("PRAGMA {}({})", pragma, sqlName(table)));
    return checks;
}

Status Database::checkStructure() {
    const auto checks = structureChecks("quick_check", 1);
    if (!checks) return checks.error();
    for (const std::string& check : *checks) {
        auto statement = prepare(check);
        if (!statement) return statement.error();
        auto row = statement->step();
        if (!row) return row.error();
        const std::string found = *row ? statement->text(0) : "no answer";
        if (found != "ok")
            return Error{ErrorCode::damaged, fmt::format("The file is damaged: {}.", found), m_file};
    }
    return Done{};
}

Result<std::int64_t> Database::dataVersion() { return number("PRAGMA data_version"); }

bool Database::hasMoved() {
    int moved = 0;
    sqlite3_file_control(m_db.get(), "main", SQLITE_FCNTL_HAS_MOVED, &moved);
    return moved != 0;
}

bool Database::writable() const {
    if (sqlite3_db_readonly(m_db.get(), "main") != 0) return false;
    const auto folder = std::filesystem::path(m_file).parent_path();
    return ::access(folder.empty() ? "." : folder.c_str(), W_OK) == 0;
}

void Database::rollBack() {
    if (sqlite3_get_autocommit(m_db.get()) == 0)
        sqlite3_exec(m_db.get(), "ROLLBACK", nullptr, nullptr, nullptr);
}

Result<std::set<std::string>> Database::columnsOf(const std::string& table) {
    auto rows = prepare("PRAGMA table_info(" + sqlName(table) + ")");
    if (!rows) return rows.error();
    std::set<std::string> names;
    for (;;) {
        auto row = rows->step();
        if (!row) return row.error();
        if (!*row) return names;
        names.insert(rows->text(1));
    }
}

Result<std::vector<std::string>> Database::structureFaults(int most) {
    const auto checks = structureChecks("integrity_check", most);
    if (!checks) return checks.error();
    std::vector<std::string> found;
    for (const std::string& check : *checks) {
        auto rows = prepare(check);
        if (!rows) return rows.error();
        for (;;) {
            auto row = rows->step();
            // It reads the rows, too, and may itself stumble over what it found.
            if (!row && row.error().code == ErrorCode::damaged)
                found.emplace_back(sqlite3_errmsg(m_db.get()));
            if (!row && found.empty()) return row.error();
            if (!row || !*row) break;
            if (rows->text(0) != "ok") found.push_back(rows->text(0));
        }
    }
    return found;
}

Status Database::copyInto(Database& target) {
    sqlite3_backup* backup = sqlite3_backup_init(target.m_db.get(), "main", m_db.get(), "main");
    if (!backup) return target.failure();
    const int r = sqlite3_backup_step(backup, -1);
    sqlite3_backup_finish(backup);
    if (r == SQLITE_DONE) return Done{};
    const Meaning meaning = meaningOf(r);
    return Error{meaning.code, fmt::format("{} ({}).", meaning.text, sqlite3_errstr(r)), target.m_file};
}

Database::Stoppable::Stoppable(Database& db, std::stop_token stop) : m_db(db), m_stop(std::move(stop)) {
    if (!m_stop.stop_possible()) return;
    sqlite3_progress_handler(
        m_db.m_db.get(), 1000,
        [](void* stopping) { return static_cast<std::stop_token*>(stopping)->stop_requested() ? 1 : 0; },
        &m_stop);
}

Database::Stoppable::~Stoppable() { sqlite3_progress_handler(m_db.m_db.get(), 0, nullptr, nullptr); }

void Database::watchRows(std::function<void(std::string_view, std::int64_t)> watch) {
    m_watch = std::make_unique<std::function<void(std::string_view, std::int64_t)>>(std::move(watch));
    sqlite3_update_hook(
        m_db.get(),
        [](void* self, int, const char*, const char* table, sqlite3_int64 row) {
            (*static_cast<std::function<void(std::string_view, std::int64_t)>*>(self))(table, row);
        },
        m_watch.get());
}

std::optional<std::array<char, 100>> headOf(const std::filesystem::path& file) {
    sqlite3_vfs* vfs = sqlite3_vfs_find(nullptr);
    std::error_code failed; // the real file: a VFS does not follow links
    const std::string name = std::filesystem::canonical(file, failed).string();
    if (failed) return std::nullopt;
    // The name in the form that a VFS wants it, with the zeros behind it.
    const std::unique_ptr<char, void (*)(char*)> asked(
        const_cast<char*>(sqlite3_create_filename(name.c_str(), "", "", 0, nullptr)),
        [](char* n) { sqlite3_free_filename(n); });
    const std::unique_ptr<sqlite3_file, decltype(&std::free)> handle(
        static_cast<sqlite3_file*>(std::calloc(1, static_cast<std::size_t>(vfs->szOsFile))), &std::free);
    if (!asked || !handle) return std::nullopt;
    constexpr int kFlags = SQLITE_OPEN_READONLY | SQLITE_OPEN_MAIN_DB;
    int given = 0;
    if (vfs->xOpen(vfs, asked.get(), handle.get(), kFlags, &given) != SQLITE_OK) return std::nullopt;
    std::array<char, 100> head{};
    const int r = handle->pMethods->xRead(handle.get(), head.data(), static_cast<int>(head.size()), 0);
    handle->pMethods->xClose(handle.get());
    if (r != SQLITE_OK) return std::nullopt;
    return head;
}

std::string sqlName(std::string_view name) {
    std::string s = "\"";
    for (const char c : name) {
        s += c;
        if (c == '"') s += c;
    }
    return s + "\"";
}

} // namespace fw
