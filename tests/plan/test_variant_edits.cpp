// SPDX-License-Identifier: GPL-3.0-or-later
// Variants: copies that can be turned apart, removal that takes nothing of others with it.
#include "catch.h"
#include "plan/edit_makers.h"
#include "plan/variant_edits.h"
#include "support/random_plan.h"

#include <fmt/format.h>
#include <set>

using namespace fw;
using namespace fw::testing;
using Catch::Matchers::Contains;

namespace {

Plan townWithTwelveMounts(std::uint64_t seed = 7) {
    Random random(seed);
    RandomPlanSpec spec;
    spec.mounts = 12;
    return randomPlan(random, spec);
}

std::vector<const SmallCell*> cellsOf(const Plan& plan, ItemId variant) {
    std::vector<const SmallCell*> out;
    for (const SmallCell& s : plan.smallCells)
        if (s.variant == variant) out.push_back(&s);
    return out;
}

// What a variant's cells are, apart from ids: mount, azimuth, tilt, carrier, bias, chosen.
std::multiset<std::string> shapeOf(const Plan& plan, ItemId variant) {
    std::multiset<std::string> out;
    for (const SmallCell* s : cellsOf(plan, variant)) {
        const Radio& r = *plan.radios.find(s->radio);
        out.insert(fmt::format("{} {} {} {} {} {} {}", r.mount.v, r.azimuth.deg, r.tiltDeg,
                               s->carrier.channel, s->biasDb, s->chosen, s->name));
    }
    return out;
}

} // namespace

TEST_CASE("a copied variant has the same cells on radios of its own, and undo leaves no trace") {
    Plan plan = townWithTwelveMounts();
    const ItemId active = plan.settings->activeVariant;
    const Plan before = plan;
    const auto copy = copyVariant(plan, active);
    REQUIRE(copy);
    const auto inverse = apply(plan, copy->edit);
    REQUIRE(inverse);
    CHECK(shapeOf(plan, active) == shapeOf(before, active));
    CHECK(shapeOf(plan, copy->variant) == shapeOf(before, active));
    CHECK(plan.variants.find(copy->variant)->name != plan.variants.find(active)->name);
    std::set<ItemId> mine, theirs;
    for (const SmallCell* s : cellsOf(plan, active)) mine.insert(s->radio);
    for (const SmallCell* s : cellsOf(plan, copy->variant)) theirs.insert(s->radio);
    CHECK(mine.size() == theirs.size());
    for (const ItemId r : theirs) CHECK_FALSE(mine.count(r));
    // Turning one leaves the other.
    const auto turn = turnRadio(plan, *theirs.begin(), TrueAzimuth::of(123));
    REQUIRE(turn);
    Plan turned = plan;
    REQUIRE(apply(turned, *turn));
    CHECK(shapeOf(turned, active) == shapeOf(before, active));
    REQUIRE(apply(plan, *inverse));
    CHECK(plan == before);
}

TEST_CASE("what stands in a variant stands in its copy") {
    Plan plan = townWithTwelveMounts();
    const ItemId active = plan.settings->activeVariant;
    const SmallCell cell = *cellsOf(plan, active).front();
    Waiver w;
    w.id = plan.nextId();
    w.rule = "tilt-outlook";
    w.subjects = {cell.id};
    w.variant = active;
    w.reason = "the owner wants it so";
    REQUIRE(apply(plan, {"", {Put{w}}}));
    const auto copy = copyVariant(plan, active, "Second");
    REQUIRE(copy);
    REQUIRE(apply(plan, copy->edit));
    int found = 0;
    for (const Waiver& each : plan.waivers) {
        if (each.variant != copy->variant) continue;
        ++found;
        CHECK(each.reason == w.reason);
        REQUIRE(each.subjects.size() == 1);
        const SmallCell* subject = plan.smallCells.find(each.subjects.front());
        REQUIRE(subject);
        CHECK(subject->variant == copy->variant);
        CHECK(subject->name == cell.name);
    }
    CHECK(found == 1);
}

TEST_CASE("cells copied across are those asked for, each once") {
    Plan plan = townWithTwelveMounts();
    const ItemId active = plan.settings->activeVariant;
    const auto fresh = newVariant(plan, "Cheap");
    REQUIRE(fresh);
    REQUIRE(apply(plan, fresh->edit));
    CHECK(cellsOf(plan, fresh->variant).empty());
    const SmallCell cell = *cellsOf(plan, active).front();
    const ItemId mount = plan.radios.find(cell.radio)->mount;
    const auto across = copyAcross(plan, {mount}, fresh->variant);
    REQUIRE(across);
    REQUIRE(apply(plan, *across));
    std::size_t onMount = 0;
    for (const SmallCell* s : cellsOf(plan, active)) onMount += plan.radios.find(s->radio)->mount == mount;
    CHECK(cellsOf(plan, fresh->variant).size() == onMount);
    const auto again = copyAcross(plan, {mount}, fresh->variant);
    REQUIRE_FALSE(again);
    CHECK_THAT(again.error().text, Contains("Cheap has them all already"));
    const auto nothing = copyAcross(plan, {plan.macroSites.begin()->id}, fresh->variant);
    REQUIRE_FALSE(nothing);
    CHECK_THAT(nothing.error().text, Contains("choose small cells"));
}

TEST_CASE("a removed variant takes its cells and radios, and leaves those of others") {
    Plan plan = townWithTwelveMounts();
    const ItemId active = plan.settings->activeVariant;
    const Plan before = plan;
    const auto copy = copyVariant(plan, active);
    REQUIRE(copy);
    REQUIRE(apply(plan, copy->edit));
    const Plan both = plan;
    // The copy goes: the plan is as it was.
    auto removal = removeVariant(plan, copy->variant);
    REQUIRE(removal);
    auto inverse = apply(plan, *removal);
    REQUIRE(inverse);
    CHECK(shapeOf(plan, active) == shapeOf(before, active));
    CHECK(plan.radios.size() == before.radios.size());
    REQUIRE(apply(plan, *inverse));
    CHECK(plan == both);
    // The first goes, though work is on it: the copy takes over.
    removal = removeVariant(plan, active);
    REQUIRE(removal);
    REQUIRE(apply(plan, *removal));
    CHECK(plan.settings->activeVariant == copy->variant);
    CHECK(shapeOf(plan, copy->variant) == shapeOf(before, active));
    const auto last = removeVariant(plan, copy->variant);
    REQUIRE_FALSE(last);
    CHECK_THAT(last.error().text, Contains("one variant at least"));
}

TEST_CASE("variants have names of their own") {
    Plan plan = townWithTwelveMounts();
    const ItemId active = plan.settings->activeVariant;
    const std::string name = plan.variants.find(active)->name;
    CHECK_FALSE(copyVariant(plan, active, name));
    CHECK_FALSE(newVariant(plan, name));
    CHECK_FALSE(copyVariant(plan, ItemId{999999}));
    CHECK_FALSE(activateVariant(plan, ItemId{999999}));
    for (int k = 2; k < 5; ++k) {
        const auto copy = copyVariant(plan, active);
        REQUIRE(copy);
        REQUIRE(apply(plan, copy->edit));
        CHECK(plan.variants.find(copy->variant)->name == fmt::format("{} {}", name, k));
    }
}
