// SPDX-License-Identifier: GPL-3.0-or-later
#include "gpkg/sqlite.h"

#include <array>
#include <fmt/format.h>
#include <fstream>
#include <sqlite3.h>

namespace fw {

namespace {

ErrorCode codeOf(int sqlite) {
    switch (sqlite & 0xff) {
    case SQLITE_CORRUPT:
        return ErrorCode::damaged;
    case SQLITE_READONLY:
    case SQLITE_FULL:
        return ErrorCode::cannotWrite;
    default:
        return ErrorCode::cannotRead;
    }
}

Error statementError(sqlite3_stmt* statement) {
    sqlite3* db = sqlite3_db_handle(statement);
    return {codeOf(sqlite3_extended_errcode(db)),
            fmt::format("The file cannot be worked on: {}.", sqlite3_errmsg(db))};
}

// A file that another program left in write-ahead mode, without the log beside it, holds all its data itself.
// It is then read as it lies; SQLite would otherwise put files of its own beside it.
bool isLoneWriteAhead(const std::filesystem::path& file) {
    std::array<char, 20> head{};
    std::ifstream in(file, std::ios::binary);
    if (!in.read(head.data(), head.size())) return false;
    std::error_code failed;
    const auto log = std::filesystem::path(file) += "-wal";
    return head[18] == 2 && !std::filesystem::exists(log, failed);
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
    const std::string uri = asUri(file, mode == Mode::read && isLoneWriteAhead(file));
    sqlite3* raw = nullptr;
    const int r = sqlite3_open_v2(uri.c_str(), &raw, flags, nullptr);
    Database db;
    db.m_db.reset(raw);
    db.m_file = file.string();
    if (r != SQLITE_OK) return db.failure("The file cannot be opened");
    sqlite3_extended_result_codes(raw, 1);
    sqlite3_db_config(raw, SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
    sqlite3_db_config(raw, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
    sqlite3_db_config(raw, SQLITE_DBCONFIG_ENABLE_TRIGGER, 1, nullptr);
    sqlite3_busy_timeout(raw, 2000);
    if (Status s = db.execute("PRAGMA trusted_schema=OFF; PRAGMA cell_size_check=ON;"); !s.ok())
        return s.error();
    if (mode != Mode::read)
        if (Status s = db.execute("PRAGMA journal_mode=DELETE; PRAGMA synchronous=FULL;"); !s.ok())
            return s.error();
    return db;
}

Error Database::failure(const std::string& what) const {
    if (!m_db) return {ErrorCode::cannotRead, what + ": out of memory.", m_file};
    return {codeOf(sqlite3_extended_errcode(m_db.get())),
            fmt::format("{}: {}.", what, sqlite3_errmsg(m_db.get())), m_file};
}

Result<Statement> Database::prepare(const std::string& sql) {
    sqlite3_stmt* raw = nullptr;
    if (sqlite3_prepare_v2(m_db.get(), sql.c_str(), static_cast<int>(sql.size()), &raw, nullptr) != SQLITE_OK)
        return failure("The file cannot be worked on");
    Statement s;
    s.m_statement.reset(raw);
    return s;
}

Status Database::execute(const std::string& sql) {
    if (sqlite3_exec(m_db.get(), sql.c_str(), nullptr, nullptr, nullptr) != SQLITE_OK)
        return failure("The file cannot be worked on");
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
    auto statement = prepare("SELECT 1 FROM sqlite_master WHERE type='table' AND name=?");
    if (!statement) return statement.error();
    statement->bind(1, std::string_view(name));
    return statement->step();
}

Status Database::checkStructure() {
    auto statement = prepare("PRAGMA quick_check(1)");
    if (!statement) return statement.error();
    auto row = statement->step();
    if (!row) return row.error();
    const std::string found = *row ? statement->text(0) : "no answer";
    if (found == "ok") return Done{};
    return Error{ErrorCode::damaged, fmt::format("The file is damaged: {}.", found), m_file};
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
