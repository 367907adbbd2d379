// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/journal_file.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <map>

namespace fw {

namespace {

namespace fs = std::filesystem;

struct TableSql {
    const char* name;
    const char* sql;
};
constexpr std::array kTables{
    TableSql{"journal_head", "CREATE TABLE journal_head (name TEXT PRIMARY KEY NOT NULL, value)"},
    TableSql{"journal_rows", "CREATE TABLE journal_rows (seq INTEGER PRIMARY KEY, kind TEXT NOT NULL, "
                             "time TEXT NOT NULL, text TEXT NOT NULL, count INTEGER NOT NULL, "
                             "more INTEGER NOT NULL, bytes BLOB)"},
};

// A million imported buildings are one edit; bytes of all at once would take gigabytes while they are made.
constexpr std::size_t kChangesARow = 1000;
constexpr std::int64_t kLongestRow = std::int64_t{64} << 20;
constexpr std::uintmax_t kLargestJournal = std::uintmax_t{4} << 30;
constexpr std::size_t kMostChanges = 20'000'000; // of one edit
constexpr int kShownTexts = 20;

std::string asBlob(const std::vector<std::uint8_t>& bytes) { return {bytes.begin(), bytes.end()}; }

Error damaged(const std::string& what) {
    return {ErrorCode::damaged, fmt::format("The crash journal is damaged: {}.", what)};
}

Status putHead(Database& db, const JournalHead& head) {
    auto put = db.prepare("INSERT INTO journal_head VALUES (?1, ?2)");
    if (!put) return put.error();
    Status status = Done{};
    const auto write = [&](const char* name, const auto& value) {
        if (!status.ok()) return;
        put->bind(1, std::string_view(name));
        put->bind(2, value);
        status = put->run();
    };
    write("format", std::int64_t{kJournalFormat});
    write("plan_uid", std::string_view(head.planUid));
    write("plan_name", std::string_view(head.planName));
    write("plan_file", std::string_view(head.planFile.native()));
    write("save_count", head.saveCount);
    write("origin", std::string_view(head.origin.native()));
    write("unsaved_base", std::int64_t{head.unsavedBase});
    write("user", std::string_view(head.user));
    write("since", std::string_view(head.since));
    write("version", std::string_view(head.version));
    return status;
}

// The tables word for word as they are made: a view, a virtual table or a computed column of somebody else's
// never gets to run.
Status checkTables(Database& db) {
    const auto n = db.number("SELECT count(*) FROM sqlite_master WHERE sql IS NOT NULL");
    if (!n) return n.error();
    auto found = db.prepare("SELECT 1 FROM sqlite_master WHERE name=?1 AND sql=?2");
    if (!found) return found.error();
    bool same = *n == std::int64_t{kTables.size()};
    for (const TableSql& t : kTables) {
        found->bind(1, std::string_view(t.name));
        found->bind(2, std::string_view(t.sql));
        const auto row = found->step();
        if (!row) return row.error();
        same = same && *row;
        found->reset();
    }
    if (!same) return damaged("it does not have the tables of one");
    return Done{};
}

} // namespace

fs::path baseFileOf(const fs::path& journal) { return fs::path(journal).replace_extension(".base.gpkg"); }

// ---- writing

Result<JournalWriter> JournalWriter::create(const fs::path& file, const JournalHead& head) {
    auto db = Database::open(file, Database::Mode::create);
    if (!db) return db.error();
    Status s = db->execute("BEGIN IMMEDIATE");
    for (const TableSql& t : kTables)
        if (s.ok()) s = db->execute(t.sql);
    if (s.ok()) s = putHead(*db, head);
    if (s.ok()) s = db->execute("COMMIT");
    if (!s.ok()) return s.error();
    auto insert = db->prepare("INSERT INTO journal_rows (kind, time, text, count, more, bytes) "
                              "VALUES (?1, ?2, ?3, ?4, ?5, ?6)");
    if (!insert) return insert.error();
    return JournalWriter(std::move(*db), std::move(*insert));
}

Status JournalWriter::begin() { return m_db.execute("BEGIN IMMEDIATE"); }
Status JournalWriter::commit() { return m_db.execute("COMMIT"); }
void JournalWriter::rollBack() { (void)m_db.execute("ROLLBACK"); } // fails where SQLite has done it already

Status JournalWriter::put(const Row& row) {
    m_insert.bind(1, std::string_view(row.kind));
    m_insert.bind(2, std::string_view(row.time));
    m_insert.bind(3, std::string_view(row.text));
    m_insert.bind(4, row.count);
    m_insert.bind(5, std::int64_t{row.more});
    m_insert.bindBlob(6, row.bytes);
    return m_insert.run();
}

namespace {

/// Hands out the changes of an edit in portions of at most kChangesARow, large lists of buildings cut up.
class Portions {
public:
    explicit Portions(const Edit& edit) : m_edit(edit) {}

    [[nodiscard]] bool more() const { return m_at < m_edit.changes.size(); }

    Edit next() {
        Edit part{m_edit.text, {}};
        while (more() && part.changes.size() < kChangesARow) {
            const Change& change = m_edit.changes[m_at];
            const auto* many = std::get_if<PutBuildings>(&change);
            if (!many || many->buildings->size() <= kChangesARow) {
                part.changes.push_back(change);
                ++m_at;
                if (many) break;
                continue;
            }
            if (!part.changes.empty()) break;
            part.changes.emplace_back(cut(*many));
            break;
        }
        return part;
    }

private:
    PutBuildings cut(const PutBuildings& many) {
        const std::size_t end = std::min(m_within + kChangesARow, many.buildings->size());
        const auto from = many.buildings->begin();
        auto some = std::make_shared<const std::vector<Building>>(
            from + static_cast<std::ptrdiff_t>(m_within), from + static_cast<std::ptrdiff_t>(end));
        m_within = end;
        if (end == many.buildings->size()) {
            m_within = 0;
            ++m_at;
        }
        return {std::move(some)};
    }

    const Edit& m_edit;
    std::size_t m_at = 0, m_within = 0;
};

} // namespace

Status JournalWriter::edit(const Edit& edit, const std::string& time) {
    Portions portions(edit);
    do {
        const Edit part = portions.next();
        const bool more = portions.more();
        if (Status s = put({"edit", time, edit.text, 0, more, asBlob(toBytes(part))}); !s.ok()) return s;
    } while (portions.more());
    return Done{};
}

Status JournalWriter::saving(std::int64_t toCount, const std::string& time) {
    return put({"saving", time, {}, toCount});
}

Status JournalWriter::saved(std::int64_t toCount) {
    Status s = m_db.execute("DELETE FROM journal_rows WHERE seq <= coalesce("
                            "(SELECT max(seq) FROM journal_rows WHERE kind='saving'), "
                            "(SELECT max(seq) FROM journal_rows))");
    if (!s.ok()) return s;
    return m_db.execute(fmt::format("UPDATE journal_head SET value={} WHERE name='save_count'", toCount));
}

// ---- reading

bool JournalReader::isEmpty(const fs::path& file) {
    auto db = Database::open(file, Database::Mode::read);
    const auto n = db ? db->number("SELECT count(*) FROM sqlite_master") : Result<std::int64_t>(db.error());
    return n && *n == 0;
}

Result<JournalReader> JournalReader::open(const fs::path& file) {
    std::error_code failed;
    if (fs::file_size(file, failed) > kLargestJournal && !failed)
        return damaged("it is larger than any could be");
    auto db = Database::open(file, Database::Mode::read);
    if (!db) return db.error();
    JournalReader reader(std::move(*db));
    if (Status s = checkTables(reader.m_db); !s.ok()) return s.error();
    if (Status s = reader.readHead(); !s.ok()) return s.error();
    return reader;
}

Status JournalReader::readHead() {
    auto rows = m_db.prepare("SELECT name, CASE WHEN length(value) <= 5000 THEN value END FROM journal_head "
                             "WHERE length(name) < 50 LIMIT 100");
    if (!rows) return rows.error();
    std::map<std::string, std::string> texts;
    std::map<std::string, std::int64_t> numbers;
    for (;;) {
        const auto row = rows->step();
        if (!row) return row.error();
        if (!*row) break;
        if (rows->isText(1)) texts[rows->text(0)] = rows->text(1);
        if (rows->isInteger(1)) numbers[rows->text(0)] = rows->integer(1);
    }
    if (!numbers.contains("format") || numbers["format"] < 1) return damaged("its format is not named");
    if (numbers["format"] > kJournalFormat)
        return Error{
            ErrorCode::newer,
            fmt::format("The crash journal was written in format {}; this program reads up to format "
                        "{}. Start the newer version of the program.",
                        numbers["format"], kJournalFormat)};
    for (const char* name : {"plan_uid", "plan_name", "plan_file", "origin", "user", "since", "version"})
        if (!texts.contains(name)) return damaged(fmt::format("its head has no {}", name));
    if (!numbers.contains("save_count")) return damaged("its head has no save_count");
    m_head = {texts["plan_uid"],     texts["plan_name"], texts["plan_file"],
              numbers["save_count"], texts["origin"],    numbers["unsaved_base"] != 0,
              texts["user"],         texts["since"],     texts["version"]};
    return Done{};
}

Result<std::optional<std::int64_t>> JournalReader::startFor(std::int64_t count) {
    using Start = std::optional<std::int64_t>;
    if (count == m_head.saveCount) return Start(0);
    auto row = m_db.prepare(
        "SELECT seq FROM journal_rows WHERE kind='saving' AND count=? ORDER BY seq DESC LIMIT 1");
    if (!row) return row.error();
    row->bind(1, count);
    const auto there = row->step();
    if (!there) return there.error();
    return *there ? Start(row->integer(0)) : Start();
}

Result<JournalReader::Summary> JournalReader::summaryAfter(std::int64_t after) {
    auto count = m_db.prepare("SELECT count(*) FROM journal_rows WHERE seq>? AND kind='edit' AND more=0");
    if (!count) return count.error();
    count->bind(1, after);
    if (const auto row = count->step(); !row) return row.error();
    Summary summary;
    summary.edits = count->integer(0);
    auto last = m_db.prepare(fmt::format("SELECT substr(text, 1, 200), substr(time, 1, 30) FROM journal_rows "
                                         "WHERE seq>? AND kind='edit' AND more=0 ORDER BY seq DESC LIMIT {}",
                                         kShownTexts));
    if (!last) return last.error();
    last->bind(1, after);
    for (;;) {
        const auto row = last->step();
        if (!row) return row.error();
        if (!*row) break;
        if (summary.texts.empty()) summary.lastTime = last->text(1);
        summary.texts.push_back(last->text(0));
    }
    std::reverse(summary.texts.begin(), summary.texts.end());
    return summary;
}

Status JournalReader::forEachAfter(std::int64_t after, const std::function<bool(Edit)>& use) {
    auto rows = m_db.prepare("SELECT CASE WHEN length(bytes) <= ?2 THEN bytes END, more FROM journal_rows "
                             "WHERE seq>?1 AND kind='edit' ORDER BY seq");
    if (!rows) return rows.error();
    rows->bind(1, after);
    rows->bind(2, kLongestRow);
    Edit whole;
    for (;;) {
        const auto row = rows->step();
        if (!row) return row.error();
        if (!*row) break;
        if (!rows->isBlob(0)) return damaged("an edit in it is missing or larger than any could be");
        const std::string_view bytes = rows->blob(0);
        auto part = editFromBytes({bytes.begin(), bytes.end()});
        if (!part) return part.error();
        if (whole.changes.empty())
            whole = std::move(*part);
        else
            std::move(part->changes.begin(), part->changes.end(), std::back_inserter(whole.changes));
        if (whole.changes.size() > kMostChanges) return damaged("an edit in it is larger than any could be");
        if (rows->integer(1) != 0) continue;
        if (!use(std::exchange(whole, {}))) return Done{};
    }
    if (!whole.changes.empty()) return damaged("its last edit is cut short");
    return Done{};
}

} // namespace fw
