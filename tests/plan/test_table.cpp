// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/table.h"

#include "base/random.h"
#include "catch.h"

#include <map>
#include <string>

using namespace fw;

namespace {

struct Thing {
    ItemId id;
    std::string text;
    bool operator==(const Thing&) const = default;
};

void checkAgainst(const Table<Thing>& table, const std::map<ItemId, Thing>& twin) {
    REQUIRE(table.size() == twin.size());
    REQUIRE(table.empty() == twin.empty());
    auto it = twin.begin();
    for (const Thing& thing : table) REQUIRE(thing == (it++)->second);
    for (const auto& chunk : table.chunks()) {
        REQUIRE(!chunk->empty());
        REQUIRE(chunk->size() <= Table<Thing>::kChunk);
    }
}

} // namespace

TEST_CASE("a table equals a plain map after any puts and removals") {
    const std::uint64_t seed = 42;
    INFO("seed " << seed);
    Random random(seed);
    Table<Thing> table;
    std::map<ItemId, Thing> twin;
    for (int step = 0; step < 20000; ++step) {
        const ItemId id{1 + random.below(1500)};
        if (random.chance(0.6)) {
            const Thing thing{id, std::to_string(step)};
            table.put(thing);
            twin[id] = thing;
        } else {
            REQUIRE(table.remove(id) == (twin.erase(id) == 1));
        }
        const ItemId other{1 + random.below(1500)};
        const auto there = twin.find(other);
        const Thing* found = table.find(other);
        REQUIRE((found != nullptr) == (there != twin.end()));
        if (found) REQUIRE(*found == there->second);
        if (step % 500 == 0) checkAgainst(table, twin);
    }
    std::vector<Thing> all;
    for (const auto& [id, thing] : twin) all.push_back(thing);
    Table<Thing> fresh;
    fresh.assign(all);
    checkAgainst(fresh, twin);
    CHECK(fresh == table); // by content, however the chunks lie
    fresh.put({all.front().id, "other"});
    CHECK_FALSE(fresh == table);
    fresh.remove(all.front().id);
    CHECK_FALSE(fresh == table);
}

TEST_CASE("an edit of a copy leaves the other chunks shared and the first table as it was") {
    Table<Thing> table;
    for (std::uint32_t k = 1; k <= 1000; ++k) table.put({{k}, "a"});
    Table<Thing> copy = table;
    copy.put({{500}, "b"});
    CHECK(table.find({500})->text == "a");
    std::size_t shared = 0;
    for (std::size_t c = 0; c < table.chunks().size(); ++c)
        if (table.chunks()[c] == copy.chunks()[c]) ++shared;
    CHECK(shared + 1 == table.chunks().size());
}
