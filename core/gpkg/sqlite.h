// SPDX-License-Identifier: GPL-3.0-or-later
// SQLite behind values and Result: nothing throws, nothing is left open.
#pragma once

#include "base/result.h"

#include <array>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <set>
#include <stop_token>
#include <string>
#include <string_view>
#include <vector>

struct sqlite3;
struct sqlite3_stmt;

namespace fw {

/// One prepared statement. Columns and parameters count as SQLite does: parameters from 1, columns from 0.
class Statement {
public:
    Statement() = default;

    void bind(int at, std::int64_t v);
    void bind(int at, double v); ///< -0 goes in as 0: the file format does not keep the sign of zero
    void bind(int at, std::string_view text);
    void bindBlob(int at, const std::string& bytes);
    void bindNull(int at);

    /// True: a row is there. False: done. A broken file ends here in an error.
    Result<bool> step();
    /// Steps once, expects no row, and makes ready for the next binding.
    Status run();
    void reset();

    [[nodiscard]] bool isNull(int column) const;
    [[nodiscard]] bool isInteger(int column) const;
    [[nodiscard]] bool isNumber(int column) const; ///< integer or real
    [[nodiscard]] bool isText(int column) const;
    [[nodiscard]] bool isBlob(int column) const;
    [[nodiscard]] std::int64_t integer(int column) const;
    [[nodiscard]] double real(int column) const;
    [[nodiscard]] std::string text(int column) const;
    [[nodiscard]] std::string_view blob(int column) const; ///< valid until the next step

private:
    friend class Database;
    struct Finalize {
        void operator()(sqlite3_stmt* s) const;
    };
    std::unique_ptr<sqlite3_stmt, Finalize> m_statement;
};

/// One connection, for one thread.
class Database {
public:
    enum class Mode {
        read,   ///< the file is not changed, unless a save was broken off: then its journal is played back
        change, ///< an existing file
        create, ///< a new file; an existing one is refused
    };
    /// Opens with untrusted schemas and defensive mode, so that a hostile file runs nothing. Of triggers only
    /// those work that keep a spatial index or a feature count (see trigger_guard.h). In Mode::change
    /// and create: journal_mode DELETE (set in words: WAL sticks to a file, and a lone copy then lacks data)
    /// and synchronous FULL.
    static Result<Database> open(const std::filesystem::path& file, Mode mode);

    Result<Statement> prepare(const std::string& sql);
    /// A database of its own that lives in memory, or in an unnamed file once it is large.
    static Result<Database> temporary();

    /// One or several statements without parameters or rows.
    Status execute(const std::string& sql);
    /// First column of the first row as a whole number; fails when there is no row.
    Result<std::int64_t> number(const std::string& sql);
    Result<bool> hasTable(const std::string& name); ///< a real table: no view, no virtual one
    /// Names of a table's columns; empty when there is no such table.
    Result<std::set<std::string>> columnsOf(const std::string& table);
    /// Checks the file's structure page by page (PRAGMA quick_check). Tables of other programs that would
    /// have something computed by that are passed over, and then free pages, too.
    Status checkStructure();
    /// The same with the indices (PRAGMA integrity_check): up to `most` faults as SQLite words them, none
    /// when all is well.
    Result<std::vector<std::string>> structureFaults(int most);

    /// Changes whenever another connection, of any program, has changed the file (PRAGMA data_version); only
    /// values of one connection can be compared.
    Result<std::int64_t> dataVersion();
    /// True when the file that was opened no longer lies where it was: moved, deleted, or replaced.
    bool hasMoved();
    /// False when file or folder do not let us write.
    [[nodiscard]] bool writable() const;
    /// Ends a transaction that cannot be completed; nothing of it stays.
    void rollBack();
    /// Copies the whole database as it stands into another, page by page (the online backup of SQLite), which
    /// unlike copying the file leaves our locks on it alone.
    Status copyInto(Database& target);
    /// While it lives, spatial indices may follow by their triggers what is written to a layer: SQLite takes
    /// that for unsafe where the schema is not trusted, and what a trigger may do at all is the guard's
    /// matter.
    class IndicesFollow {
    public:
        explicit IndicesFollow(Database& db) : m_db(db) { m_db.trustSchema(true); }
        ~IndicesFollow() { m_db.trustSchema(false); }
        IndicesFollow(const IndicesFollow&) = delete;
        IndicesFollow& operator=(const IndicesFollow&) = delete;

    private:
        Database& m_db;
    };
    /// While it lives, statements of the connection end with ErrorCode::cancelled once `stop` is asked for:
    /// at the next thousand steps of a statement. What was begun is then to be rolled back.
    class Stoppable {
    public:
        Stoppable(Database& db, std::stop_token stop);
        ~Stoppable();
        Stoppable(const Stoppable&) = delete;
        Stoppable& operator=(const Stoppable&) = delete;

    private:
        Database& m_db;
        std::stop_token m_stop;
    };
    /// Calls `watch` for every row that a statement of ours, or a trigger, inserts, updates or deletes.
    void watchRows(std::function<void(std::string_view table, std::int64_t row)> watch);

private:
    static Result<Database> connect(const std::string& uri, int flags, const std::string& name);
    Result<std::vector<std::string>> structureChecks(const std::string& pragma, int most);
    struct Close {
        void operator()(sqlite3* db) const;
    };
    [[nodiscard]] Error failure() const;
    void trustSchema(bool trust);
    std::unique_ptr<sqlite3, Close> m_db;
    std::string m_file;
    std::unique_ptr<std::function<void(std::string_view, std::int64_t)>> m_watch;
};

/// First bytes of a file (SQLite file format, 1.3), read through SQLite: opening and closing a file past its
/// back would drop the locks that a connection of this process holds on it. Empty when the file cannot be
/// read or is shorter.
std::optional<std::array<char, 100>> headOf(const std::filesystem::path& file);

/// A name as SQL takes it: in double quotes.
std::string sqlName(std::string_view name);

} // namespace fw
