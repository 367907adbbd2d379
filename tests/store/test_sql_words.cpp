// SPDX-License-Identifier: GPL-3.0-or-later
#include "gpkg/sql_words.h"

#include "base/random.h"
#include "catch.h"

#include <sqlite3.h>

using namespace fw;

namespace {

std::string marked(std::string_view sql) {
    std::string all;
    for (const SqlWord& w : sqlWords(sql)) {
        if (!all.empty()) all += ' ';
        if (w.kind == SqlWord::Kind::quoted) all += "<" + w.text + ">";
        if (w.kind == SqlWord::Kind::text) all += "'" + w.text + "'";
        if (w.kind == SqlWord::Kind::bare || w.kind == SqlWord::Kind::sign) all += w.text;
    }
    return all;
}

} // namespace

TEST_CASE("words of a schema: quotes, comments and signs as SQLite reads them") {
    // SQLite, "SQLite Keywords" and "SQL Comment Syntax": the four kinds of quotes, the two of comments.
    CHECK(marked("create table \"a \"\"b\"(x int, [y z] text default 'it''s')") ==
          "CREATE TABLE <a \"b> ( X INT , <y z> TEXT DEFAULT 'it's' )");
    CHECK(marked("a--CHECK\nb/* CHECK */c`d`") == "A B C <d>");
    CHECK(marked("a /* never ends") == "A");
    CHECK(marked("'never ends") == "'never ends'");
    CHECK(marked("x>=-1.5e3") == "X > = - 1 . 5E3");
    CHECK(marked("").empty());
}

TEST_CASE("what SQLite takes for a rule, the words show as one") {
    // SQLite is the judge: with the rule in force the row is refused, and the words then hold CHECK.
    const std::uint64_t seed = 8;
    INFO("seed " << seed);
    Random random(seed);
    const char* const pieces[] = {"--", "\n", "/*", "*/", "'", "\"", " ", "x", "CHECK (a > 5)",
                                  "[",  "]",  "`",  ",b"};
    int rules = 0;
    for (int round = 0; round < 20000; ++round) {
        std::string sql = "CREATE TABLE t (a INT ";
        for (std::uint32_t n = 1 + random.below(6); n > 0; --n)
            sql += pieces[random.below(std::size(pieces))];
        sql += ")";
        sqlite3* db = nullptr;
        REQUIRE(sqlite3_open(":memory:", &db) == SQLITE_OK);
        const bool made = sqlite3_exec(db, sql.c_str(), nullptr, nullptr, nullptr) == SQLITE_OK;
        const bool refused = made && sqlite3_exec(db, "INSERT INTO t (a) VALUES (1)", nullptr, nullptr,
                                                  nullptr) == SQLITE_CONSTRAINT;
        sqlite3_close(db);
        if (!made) continue;
        bool shown = false;
        for (const SqlWord& w : sqlWords(sql)) shown = shown || w.is("CHECK");
        INFO(sql);
        REQUIRE(shown == refused);
        rules += refused;
    }
    CHECK(rules > 100);
}
