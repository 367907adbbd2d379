// SPDX-License-Identifier: GPL-3.0-or-later
// SQLite behind values and Result: nothing throws, nothing is left open.
#pragma once

#include "base/result.h"

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>

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
    /// Opens with untrusted schemas and defensive mode, so that a hostile file runs nothing. In Mode::change
    /// and create: journal_mode DELETE (set in words: WAL sticks to a file, and a lone copy then lacks data)
    /// and synchronous FULL.
    static Result<Database> open(const std::filesystem::path& file, Mode mode);

    Result<Statement> prepare(const std::string& sql);
    /// One or several statements without parameters or rows.
    Status execute(const std::string& sql);
    /// First column of the first row as a whole number; fails when there is no row.
    Result<std::int64_t> number(const std::string& sql);
    Result<bool> hasTable(const std::string& name); ///< a real table, no view
    /// Checks the file's structure page by page (PRAGMA quick_check).
    Status checkStructure();

private:
    struct Close {
        void operator()(sqlite3* db) const;
    };
    Error failure(const std::string& what) const;
    std::unique_ptr<sqlite3, Close> m_db;
    std::string m_file;
};

/// A name as SQL takes it: in double quotes.
std::string sqlName(std::string_view name);

} // namespace fw
