// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "plan/edit.h"
#include "support/random_plan.h"

using namespace fw;
using namespace fw::testing;

namespace {

// One put of every kind, a removal and the settings.
Edit editOfAllKinds(Random& random) {
    Plan plan = randomPlan(random);
    REQUIRE(apply(plan, randomEdit(plan, random, EditKind::standing)));
    PlanSettings settings = *plan.settings;
    settings.profile.limits["faces-macro.reach"] = 0.1 + 0.2;
    Edit edit{"Everything, Ærø", {Remove{{7}}, PutSettings{settings}}};
    for (std::uint32_t v = 1; v <= plan.lastId.v; ++v)
        if (const auto item = plan.item({v})) edit.changes.emplace_back(Put{*item});
    auto many = std::make_shared<std::vector<Building>>();
    plan.scenery.forEachBuilding([&](const Building& b) {
        if (many->size() < 3) many->push_back(b);
    });
    edit.changes.emplace_back(PutBuildings{many});
    edit.changes.emplace_back(
        RemoveBuildings{std::make_shared<const std::vector<ItemId>>(std::vector<ItemId>{many->front().id})});
    return edit;
}

Edit shortEdit(Random& random) {
    Edit edit = editOfAllKinds(random);
    std::vector<Change> few;
    std::vector<bool> seen(std::variant_size_v<Item>, false);
    for (Change& change : edit.changes) {
        const Put* put = std::get_if<Put>(&change);
        if (put && seen[put->item.index()]) continue;
        if (put) seen[put->item.index()] = true;
        few.push_back(std::move(change));
    }
    edit.changes = std::move(few);
    return edit;
}

// Never a crash: a value, or a sentence that says something.
bool isAnswered(const std::vector<std::uint8_t>& bytes) {
    const auto edit = editFromBytes(bytes);
    return edit ? true : edit.error().sentence().size() > 20;
}

} // namespace

TEST_CASE("an edit of every kind comes back from bytes as it was") {
    Random random(8);
    const Edit edit = editOfAllKinds(random);
    const auto bytes = toBytes(edit);
    const auto back = editFromBytes(bytes);
    INFO((back ? std::string() : back.error().sentence()));
    REQUIRE(back);
    CHECK(*back == edit);
    CHECK(toBytes(*back) == bytes);
}

TEST_CASE("random edits and their inverses survive bytes and do the same") {
    Random random(9);
    Plan plan = randomPlan(random);
    for (int step = 0; step < 300; ++step) {
        const Edit edit = randomEdit(plan, random, static_cast<EditKind>(step % kEditKinds));
        const auto sent = editFromBytes(toBytes(edit));
        REQUIRE(sent);
        Plan there = plan;
        const auto inverse = apply(plan, edit);
        REQUIRE(inverse);
        REQUIRE(apply(there, *sent));
        REQUIRE(there == plan);
        const auto back = editFromBytes(toBytes(*inverse));
        REQUIRE(back);
        REQUIRE(*back == *inverse);
    }
}

TEST_CASE("bytes cut short are refused by a sentence") {
    Random random(10);
    const auto bytes = toBytes(shortEdit(random));
    for (std::size_t n = 0; n < bytes.size(); ++n) {
        const auto edit = editFromBytes({bytes.begin(), bytes.begin() + static_cast<std::ptrdiff_t>(n)});
        REQUIRE_FALSE(edit.ok());
        REQUIRE(edit.error().sentence().size() > 20);
    }
    auto longer = bytes;
    longer.push_back(0);
    CHECK_FALSE(editFromBytes(longer).ok());
}

TEST_CASE("flipped, dropped and made-up bytes never crash, nor does applying what is left") {
    const std::uint64_t seed = 31;
    INFO("seed " << seed);
    Random random(seed);
    const Plan plan = randomPlan(random);
    const auto good = toBytes(shortEdit(random));
    int refused = 0;
    for (int round = 0; round < 20000; ++round) {
        auto bytes = good;
        for (std::uint32_t k = 1 + random.below(4); k > 0; --k) {
            const std::size_t at = random.below(static_cast<std::uint32_t>(bytes.size()));
            if (random.chance(0.7))
                bytes[at] = static_cast<std::uint8_t>(bytes[at] ^ (1u << random.below(8)));
            else if (random.chance(0.5))
                bytes.erase(bytes.begin() + static_cast<std::ptrdiff_t>(at));
            else
                bytes[at] = static_cast<std::uint8_t>(random.below(256));
        }
        REQUIRE(isAnswered(bytes));
        const auto edit = editFromBytes(bytes);
        if (!edit) {
            ++refused;
            continue;
        }
        Plan copy = plan;
        const auto result = apply(copy, *edit);
        if (!result) REQUIRE(copy == plan);
    }
    CHECK(refused > 1000);
    CHECK(refused < 20000); // a flip inside a number or a text leaves an edit
    for (int round = 0; round < 20000; ++round) {
        std::vector<std::uint8_t> bytes(random.below(64));
        for (auto& b : bytes) b = static_cast<std::uint8_t>(random.below(256));
        REQUIRE(isAnswered(bytes));
    }
}

TEST_CASE("bytes that nest for ever do not end the stack") {
    CHECK(isAnswered(std::vector<std::uint8_t>(5000000, 0x81))); // RFC 8949, 3.1: 0x81 opens a list of one
    CHECK(isAnswered(std::vector<std::uint8_t>(5000000, 0xc1))); // a tag on a tag on a tag
    CHECK(isAnswered({0x9b, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff}));
}
