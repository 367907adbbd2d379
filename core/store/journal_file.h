// SPDX-License-Identifier: GPL-3.0-or-later
// The file of a crash journal: a SQLite database with a head and one row an edit (a large edit has several).
// Written by CrashJournal; read by recovery, which takes it for a stranger's file.
#pragma once

#include "gpkg/sqlite.h"
#include "plan/edit.h"

#include <functional>
#include <optional>
#include <vector>

namespace fw {

inline constexpr int kJournalFormat = 1; ///< a journal of a higher one is left alone

struct JournalHead {
    std::string planUid, planName;
    std::filesystem::path planFile; ///< empty: the plan has no file, and its base lies beside the journal
    std::int64_t saveCount = 0;     ///< of the plan file that the edits follow on
    std::filesystem::path origin;   ///< where the terrain of a plan without a file is found
    bool unsavedBase = false;       ///< the base itself is work that is in no file
    std::string user, since, version;
};

/// "x.journal" has its base plan in "x.base.gpkg".
std::filesystem::path baseFileOf(const std::filesystem::path& journal);

/// One connection, for one thread. Between begin() and commit() rows are added; after an error roll back.
class JournalWriter {
public:
    static Result<JournalWriter> create(const std::filesystem::path& file, const JournalHead& head);

    Status begin();
    Status commit();
    void rollBack();

    Status edit(const Edit& edit, const std::string& time);
    Status saving(std::int64_t toCount, const std::string& time);
    /// Drops what the save has taken in: up to the last row of saving(), or everything where there is none.
    Status saved(std::int64_t toCount);

private:
    JournalWriter(Database db, Statement insert) : m_db(std::move(db)), m_insert(std::move(insert)) {}
    struct Row {
        const char* kind;
        std::string time, text;
        std::int64_t count = 0;
        bool more = false; ///< the next row continues the same edit
        std::string bytes = {};
    };
    Status put(const Row& row);

    Database m_db;
    Statement m_insert;
};

class JournalReader {
public:
    /// Refuses by a sentence what is no journal, of a newer format, or damaged in its head.
    static Result<JournalReader> open(const std::filesystem::path& file);
    /// True for a journal whose making was broken off: there is nothing in it.
    static bool isEmpty(const std::filesystem::path& file);

    [[nodiscard]] const JournalHead& head() const { return m_head; }
    /// The row after which edits are not in a file that was saved `count` times: 0, all edits follow; the row
    /// of saving() to that count; or empty, that file is none of this journal's.
    Result<std::optional<std::int64_t>> startFor(std::int64_t count);

    struct Summary {
        std::int64_t edits = 0;
        std::string lastTime;           ///< of the last edit
        std::vector<std::string> texts; ///< of the last ones, oldest first
    };
    Result<Summary> summaryAfter(std::int64_t row);
    /// Calls `use` for each edit in order until it fails or says no. A row that cannot be read is an error.
    Status forEachAfter(std::int64_t row, const std::function<bool(Edit)>& use);

private:
    explicit JournalReader(Database db) : m_db(std::move(db)) {}
    Status readHead();

    Database m_db;
    JournalHead m_head;
};

} // namespace fw
