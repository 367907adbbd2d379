// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/scenery.h"

#include "catch.h"
#include "plan/edit.h"
#include "plan/snapshot.h"
#include "support/random_plan.h"

#include <chrono>
#include <map>

using namespace fw;
using namespace fw::testing;

namespace {

void checkAgainst(const Scenery& scenery, const std::map<ItemId, Building>& twin) {
    REQUIRE(scenery.buildingCount() == twin.size());
    auto it = twin.begin();
    scenery.forEachBuilding([&](const Building& b) {
        REQUIRE(b == it->second);
        ++it;
    });
    for (const auto& chunk : scenery.buildingChunks()) {
        REQUIRE(chunk->size() > 0);
        REQUIRE(chunk->size() <= Scenery::kChunk);
        Box box;
        for (std::size_t i = 0; i < chunk->size(); ++i) box.add(boundsOf(chunk->building(i).footprint));
        REQUIRE(box == chunk->bounds);
    }
}

double millisecondsSince(std::chrono::steady_clock::time_point start) {
    return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
}

} // namespace

TEST_CASE("buildings put and removed in any order equal a plain map") {
    const std::uint64_t seed = 77;
    INFO("seed " << seed);
    Random random(seed);
    Scenery scenery;
    std::map<ItemId, Building> twin;
    for (int round = 0; round < 120; ++round) {
        std::vector<Building> batch;
        const std::uint32_t n = random.chance(0.2) ? 1500 : 1 + random.below(40);
        for (std::uint32_t k = 0; k < n; ++k) {
            const PlanePoint at{random.between(5e5, 5.1e5), random.between(4.08e6, 4.09e6)};
            batch.push_back(asKept(randomBuilding({1 + random.below(6000)}, at, random)));
        }
        for (const Building& b : batch) twin[b.id] = b;
        scenery.putBuildings(batch);
        std::vector<ItemId> gone;
        for (std::uint32_t k = 0; k < n / 2; ++k) gone.push_back({1 + random.below(6000)});
        for (const ItemId id : gone) twin.erase(id);
        scenery.removeBuildings(gone);
        if (round % 10 == 0) checkAgainst(scenery, twin);
    }
    checkAgainst(scenery, twin);
    Scenery fresh;
    std::vector<Building> all;
    for (const auto& [id, b] : twin) all.push_back(b);
    fresh.putBuildings(all);
    CHECK(fresh == scenery); // however the chunks came about
    all.back().heightM += 0.001;
    fresh.putBuildings({all.back()});
    CHECK_FALSE(fresh == scenery);
}

TEST_CASE("corners keep whole millimetres and buildings far apart keep their places") {
    Random random(5);
    Building near = randomBuilding({1}, {553000.12345, 4084000.6789}, random);
    Building far = randomBuilding({2}, {-9e6, 9.9e6}, random);
    near.footprint.outer[0].x += 0.0004;
    Scenery scenery;
    scenery.putBuildings({near, far});
    CHECK(*scenery.building({1}) == asKept(near));
    CHECK(*scenery.building({2}) == asKept(far));
    // Half a millimetre: rounding to the nearest whole one cannot be further off.
    CHECK(std::fabs(scenery.building({1})->footprint.outer[0].x - near.footprint.outer[0].x) <=
          0.0005 + 1e-9);
    CHECK(asKept(asKept(near)) == asKept(near));
}

TEST_CASE("diff equals a comparison item by item") {
    const std::uint64_t seed = 4711;
    INFO("seed " << seed);
    Random random(seed);
    Plan plan = randomPlan(random);
    Plan before = plan;
    for (int step = 0; step < 400; ++step) {
        REQUIRE(apply(plan, randomEdit(plan, random, static_cast<EditKind>(random.below(kEditKinds)))));
        if (step % 8 != 0) continue;
        std::vector<Difference> expected;
        for (std::uint32_t v = 1; v <= plan.lastId.v; ++v) {
            const auto a = before.item({v}), b = plan.item({v});
            if (a == b) continue;
            expected.push_back({kindOf(b ? *b : *a),
                                {v},
                                !a   ? Difference::What::added
                                : !b ? Difference::What::removed
                                     : Difference::What::changed});
        }
        std::stable_sort(expected.begin(), expected.end(),
                         [](const Difference& a, const Difference& b) { return a.kind < b.kind; });
        const PlanDiff d = diff(before, plan);
        REQUIRE(d.items == expected);
        REQUIRE(d.settings == !(*before.settings == *plan.settings));
        REQUIRE((d.empty() == (before == plan)));
        before = plan;
    }
}

TEST_CASE("a million buildings: a snapshot copies pointers, an edit touches its chunk") {
    Plan plan;
    std::vector<Building> all;
    Random random(1);
    const std::uint32_t n = 1000000;
    all.reserve(n);
    for (std::uint32_t k = 0; k < n; ++k) {
        Building b;
        b.id = {k + 1};
        b.footprint = rectangle({5e5 + k % 1000 * 20.0, 4e6 + k / 1000 * 20.0}, 12, 9);
        all.push_back(std::move(b));
    }
    plan.lastId = {n};
    auto start = std::chrono::steady_clock::now();
    plan.scenery.putBuildings(std::move(all));
    const double putMs = millisecondsSince(start);
    const Plan warm =
        plan; // the allocator sweeps up after the input's million small blocks on its next big one
    start = std::chrono::steady_clock::now();
    const Plan before = plan;
    const double copyMs = millisecondsSince(start);
    Building b = *plan.scenery.building({n / 2});
    b.heightM = 30;
    start = std::chrono::steady_clock::now();
    REQUIRE(apply(plan, {"Height", {Put{b}}}));
    const double applyMs = millisecondsSince(start);
    start = std::chrono::steady_clock::now();
    const PlanDiff d = diff(before, plan);
    const double diffMs = millisecondsSince(start);
    REQUIRE(d.items.size() == 1);
    CHECK(d.items[0].id == b.id);
    std::size_t shared = 0;
    for (std::size_t c = 0; c < before.scenery.buildingChunks().size(); ++c)
        if (before.scenery.buildingChunks()[c] == plan.scenery.buildingChunks()[c]) ++shared;
    // Counted, not timed: the clock of a shared machine proves nothing.
    CHECK(shared + 1 == before.scenery.buildingChunks().size());
    WARN("put " << putMs << " ms, snapshot " << copyMs << " ms, one change " << applyMs << " ms, diff "
                << diffMs << " ms");
}
