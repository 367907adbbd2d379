// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/plan_schema.h"

#include "base/ascii.h"
#include "gpkg/sql_words.h"
#include "store/rows.h"
#include "store/settings_rows.h"

#include <algorithm>
#include <array>

namespace fw {

namespace {

constexpr std::array<const char*, 5> kOtherTables{
    "gpkg_contents", "gpkg_geometry_columns", "gpkg_spatial_ref_sys", "fringewright_meta", kSettingsTable};

using Words = std::vector<SqlWord>;

// Index of the bracket that closes the one at `open`; the end when there is none.
std::size_t closing(const Words& words, std::size_t open) {
    int depth = 0;
    for (std::size_t k = open; k < words.size(); ++k) {
        if (words[k].isSign('(')) ++depth;
        if (words[k].isSign(')') && --depth == 0) return k;
    }
    return words.size();
}

std::string joined(const Words& words, std::size_t from, std::size_t to) {
    std::string s;
    for (std::size_t k = from; k < to; ++k)
        s += words[k].kind == SqlWord::Kind::text ? "'" + words[k].text + "'" : words[k].text;
    return s;
}

// A default in brackets is an expression; a number is none, and the time of writing is what the standard
// itself asks for in gpkg_contents (OGC 12-128r18, 1.1.3) and GDAL writes for times.
bool isHarmlessDefault(const Words& words, std::size_t open) {
    const std::size_t end = closing(words, open);
    const bool number = end - open <= 3 && std::none_of(words.begin() + static_cast<std::ptrdiff_t>(open) + 1,
                                                        words.begin() + static_cast<std::ptrdiff_t>(end),
                                                        [](const SqlWord& w) { return w.isSign('('); });
    const std::string all = lowered(joined(words, open, end));
    return number || all == "(strftime('%y-%m-%dt%h:%m:%fz','now')";
}

// What is not plain about a table, as a clause; empty when nothing is.
std::string tableFault(const Words& words) {
    if (words.size() > 1 && words[1].is("VIRTUAL"))
        return "a virtual table, which other code than the database's own would answer for, stands in its "
               "place";
    if (words.size() < 4 || !words[1].is("TABLE")) return "something else stands in its place";
    for (std::size_t k = 2; k < words.size(); ++k) {
        const bool opens = k + 1 < words.size() && words[k + 1].isSign('(');
        if (words[k].is("CHECK")) return "it carries a rule (CHECK) that would be computed for each row";
        if (words[k].is("AS")) return "it has a column that is computed from others";
        if (words[k].is("CONFLICT")) return "it carries a conflict clause that could drop rows unseen";
        if (words[k].is("WITHOUT")) return "its rows have no numbers (WITHOUT ROWID)";
        if (words[k].is("DEFAULT") && opens && !isHarmlessDefault(words, k + 1))
            return "it has a default that would be computed";
    }
    return {};
}

std::string indexFault(const Words& words) {
    const auto open =
        std::find_if(words.begin(), words.end(), [](const SqlWord& w) { return w.isSign('('); });
    for (auto k = open; k != words.end(); ++k) {
        if (k->is("WHERE")) return "covers a part of the rows only";
        const bool plain = k == open || k->isName() || k->isSign(',') || k->isSign(')');
        if (!plain) return "is computed from the columns";
    }
    return {};
}

// The word after INTO, FROM or UPDATE [OR ...] is what the trigger writes to; it may look up nothing else.
bool isHarmlessTrigger(const Words& words) {
    const auto begin =
        std::find_if(words.begin(), words.end(), [](const SqlWord& w) { return w.is("BEGIN"); });
    if (begin == words.end()) return false;
    for (auto k = begin; k != words.end(); ++k) {
        if (k->is("SELECT") || k->is("WITH") || k->is("RAISE")) return false;
        if (!k->is("INTO") && !k->is("FROM") && !k->is("UPDATE")) continue;
        auto target = k + 1;
        if (k->is("UPDATE") && target != words.end() && target->is("OR"))
            target += std::min<std::ptrdiff_t>(2, words.end() - target);
        if (target == words.end() || !target->isName()) return false;
        const std::string name = lowered(target->text);
        if (!name.starts_with("rtree_") && name != "gpkg_ogr_contents") return false;
    }
    return true;
}

class SchemaLook {
public:
    SchemaLook(Database& db, FaultSink& sink) : m_db(db), m_sink(sink) {}

    Result<std::set<std::string>> all() {
        auto rows = m_db.prepare("SELECT type, name, tbl_name, sql FROM sqlite_master WHERE sql IS NOT NULL");
        if (!rows) return rows.error();
        for (;;) {
            const auto row = rows->step();
            if (!row) return row.error();
            if (!*row) break;
            // SQLite itself holds type and names against the text.
            const std::string table = lowered(rows->text(2));
            if (!isPlanTable(table)) continue;
            if (Status s = look(rows->text(0), rows->text(1), table, sqlWords(rows->text(3))); !s.ok())
                return s.error();
        }
        return std::move(m_unfit);
    }

private:
    Status look(const std::string& type, const std::string& name, const std::string& table,
                const Words& words) {
        PlanFault fault;
        fault.table = table;
        fault.field = name;
        fault.mend = Mend::drop;
        if (type == "view" || type == "table") {
            std::string why = type == "view" ? "a view stands in its place" : tableFault(words);
            if (why.empty()) return Done{};
            m_unfit.insert(table);
            fault.mend = Mend::rebuild;
            const bool other = why.ends_with("in its place");
            fault.what = other ? fmt::format("its table {} is missing; {}", table, why)
                               : fmt::format("its table {} is not a plain one: {}", table, why);
        } else if (type == "index") {
            const std::string why = indexFault(words);
            if (why.empty()) return Done{};
            fault.what = fmt::format("the index \"{}\" on its table {} {}", name, table, why);
        } else {
            if (isHarmlessTrigger(words)) return Done{};
            fault.what =
                fmt::format("the trigger \"{}\" on its table {} would change or look up other things "
                            "while the plan is saved",
                            name, table);
        }
        return m_sink.take(std::move(fault));
    }

    Database& m_db;
    FaultSink& m_sink;
    std::set<std::string> m_unfit;
};

} // namespace

bool isPlanTable(const std::string& table) {
    static const std::set<std::string> names = [] {
        std::set<std::string> all(kOtherTables.begin(), kOtherTables.end());
        for (std::size_t k = 0; k < std::variant_size_v<Item>; ++k)
            all.insert(layerOf(static_cast<Kind>(k)).table);
        return all;
    }();
    return names.contains(table);
}

Result<std::set<std::string>> lookAtSchema(Database& db, FaultSink& sink) {
    const auto ours = db.hasTable("fringewright_meta");
    if (!ours) return ours.error();
    if (!*ours) return std::set<std::string>{};
    const auto entries = db.number("SELECT count(*) FROM sqlite_master");
    if (!entries) return entries.error();
    if (*entries > kMostSchemaEntries) {
        PlanFault fault;
        fault.what =
            fmt::format("it holds {} tables, views, indices and triggers; more than {} are not taken",
                        *entries, kMostSchemaEntries);
        fault.mend = Mend::rebuild;
        if (Status s = sink.take(std::move(fault)); !s.ok()) return s.error();
    }
    return SchemaLook(db, sink).all();
}

} // namespace fw
