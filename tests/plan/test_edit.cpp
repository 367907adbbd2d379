// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/edit.h"

#include "catch.h"
#include "plan/validate.h"
#include "support/random_plan.h"

#include <limits>
#include <set>

using namespace fw;
using namespace fw::testing;

namespace {

Edit putting(Item item) { return {"Put", {Put{std::move(item)}}}; }

std::string refusal(Plan plan, const Edit& edit) {
    const Plan before = plan;
    const auto result = apply(plan, edit);
    CHECK(plan == before); // all or nothing
    return result ? std::string() : result.error().sentence();
}

bool names(const std::string& sentence, const char* part) { return sentence.find(part) != std::string::npos; }

} // namespace

TEST_CASE("a random plan is valid in itself and in what it names") {
    Random random(11);
    const Plan plan = randomPlan(random);
    CHECK(validate(*plan.settings).ok());
    CHECK(validateReferences(plan).empty());
    for (std::uint32_t v = 1; v <= plan.lastId.v; ++v) {
        const auto item = plan.item({v});
        REQUIRE(item);
        const Status s = validate(*item);
        INFO((s.ok() ? std::string() : s.error().sentence()));
        CHECK(s.ok());
    }
}

TEST_CASE("two thousand random edits undo and redo to equal plans") {
    const std::uint64_t seed = 20260601;
    INFO("seed " << seed);
    Random random(seed);
    Plan plan = randomPlan(random);
    std::vector<Plan> states{plan};
    std::vector<Edit> edits, inverses;
    for (int step = 0; step < 2000; ++step) {
        const Edit edit = randomEdit(plan, random, static_cast<EditKind>(step % kEditKinds));
        auto inverse = apply(plan, edit);
        INFO(edit.text << ": " << (inverse ? std::string() : inverse.error().sentence()));
        REQUIRE(inverse);
        edits.push_back(edit);
        inverses.push_back(std::move(*inverse));
        states.push_back(plan);
    }
    CHECK(validateReferences(plan).empty());
    const ItemId lastId = plan.lastId;
    for (std::size_t k = edits.size(); k-- > 0;) {
        auto redo = apply(plan, inverses[k]);
        REQUIRE(redo);
        REQUIRE(plan == states[k]);
        // The inverse of the inverse does what the edit did.
        Plan again = plan;
        REQUIRE(apply(again, *redo));
        REQUIRE(again == states[k + 1]);
    }
    CHECK(plan.lastId == lastId);
    for (std::size_t k = 0; k < edits.size(); ++k) REQUIRE(apply(plan, edits[k]));
    CHECK(plan == states.back());
}

TEST_CASE("an edit that names what is not there is refused whole") {
    Random random(3);
    const Plan plan = randomPlan(random);
    Radio radio = *plan.radios.begin();
    radio.mount = {999999};
    CHECK(names(refusal(plan, putting(radio)), "999999"));
    radio.mount = plan.sectors.begin()->id;
    CHECK(names(refusal(plan, putting(radio)), "it must be a mount"));
    radio.mount = {};
    CHECK(names(refusal(plan, putting(radio)), "not given"));
    // The first change alone would do; the second spoils it.
    Tree tree = *plan.scenery.trees.begin();
    tree.topM = 9;
    CHECK(names(refusal(plan, {"Two", {Put{tree}, Remove{{999999}}}}), "999999"));
    CHECK(names(refusal(plan, {"Remove", {Remove{plan.mounts.begin()->id}}}), "not in the plan"));
    CHECK(names(refusal(plan, {"Remove", {Remove{plan.settings->activeVariant}}}), "not in the plan"));
    CHECK(names(refusal(plan, putting(Tree{plan.mounts.begin()->id, {}, 3, 8, 2})), "belongs to a mount"));
    CHECK(names(refusal(plan, putting(Tree{{}, {}, 3, 8, 2})), "between 1 and"));
    const ItemId building = plan.scenery.buildingChunks().front()->ids.front();
    CHECK(names(refusal(plan, putting(Tree{building, {}, 3, 8, 2})), "belongs to a building"));
    CHECK(names(refusal(plan, {"Twice", {Remove{building}, Remove{building}}}), "no item"));
    Building b = *plan.scenery.building(building);
    b.id = plan.mounts.begin()->id;
    CHECK(names(refusal(plan, putting(b)), "belongs to a mount"));
}

TEST_CASE("values out of range are refused with item, field, value and range") {
    Random random(4);
    const Plan plan = randomPlan(random);
    Sector sector = *plan.sectors.begin();
    sector.height = {700};
    const std::string sentence = refusal(plan, putting(sector));
    CHECK(names(sentence, sector.name.c_str()));
    CHECK(names(sentence, "height is 700 m"));
    CHECK(names(sentence, "between 0 and 500 m"));
    sector.height = {std::numeric_limits<double>::quiet_NaN()};
    CHECK(names(refusal(plan, putting(sector)), "height"));
    Mount mount = *plan.mounts.begin();
    mount.name = "half a letter \xc3";
    CHECK(names(refusal(plan, putting(mount)), "UTF-8"));
    mount = *plan.mounts.begin();
    mount.kind = static_cast<MountKind>(9);
    CHECK(names(refusal(plan, putting(mount)), "kind is none of the known ones"));
    Building b = *plan.scenery.building(pickBuilding(plan, random));
    std::reverse(b.footprint.outer.begin(), b.footprint.outer.end());
    CHECK(names(refusal(plan, putting(b)), "anticlockwise"));
    b.footprint.outer.resize(2);
    CHECK(names(refusal(plan, putting(b)), "at least 3"));
    Waiver w;
    w.id = plan.nextId();
    w.rule = "faces-macro";
    w.reason = "  ";
    CHECK(names(refusal(plan, putting(w)), "reason"));
    PlanSettings settings = *plan.settings;
    settings.model.indoorShare = 1.5;
    CHECK(names(refusal(plan, {"Settings", {PutSettings{settings}}}), "indoor share"));
}

TEST_CASE("order within an edit is free: a radio may come before its mount") {
    Random random(5);
    Plan plan = randomPlan(random);
    Edit edit = randomEdit(plan, random, EditKind::mount);
    while (edit.text != "Add mount") edit = randomEdit(plan, random, EditKind::mount);
    std::reverse(edit.changes.begin(), edit.changes.end());
    const Plan before = plan;
    const auto inverse = apply(plan, edit);
    REQUIRE(inverse);
    REQUIRE(apply(plan, *inverse));
    CHECK(plan == before);
}

TEST_CASE("removing a mount takes what hangs on it, removing an antenna only loosens") {
    Random random(6);
    Plan plan = randomPlan(random);
    const Mount mount = *plan.mounts.begin(); // carries site works
    Waiver w;
    w.id = plan.nextId();
    w.rule = "height-window";
    w.reason = "Agreed";
    w.subjects = {plan.radios.begin()->id};
    REQUIRE(plan.radios.begin()->mount == mount.id);
    REQUIRE(apply(plan, putting(w)));
    const Plan before = plan;
    const Edit removal = removalOf(plan, mount.id);
    CHECK(removal.text == "Remove mount " + mount.name);
    const auto inverse = apply(plan, removal);
    REQUIRE(inverse);
    CHECK_FALSE(plan.has(mount.id));
    CHECK(plan.siteWorks.empty());
    CHECK_FALSE(plan.has(w.id));
    for (const Radio& r : plan.radios) CHECK(r.mount != mount.id);
    REQUIRE(apply(plan, *inverse));
    CHECK(plan == before);

    Sector s = *plan.sectors.begin();
    s.antenna = plan.antennaCuts.begin()->id;
    REQUIRE(apply(plan, putting(s)));
    REQUIRE(apply(plan, removalOf(plan, s.antenna)));
    CHECK_FALSE(plan.sectors.find(s.id)->antenna);
    CHECK(plan.antennaCuts.empty());
    const ItemId variant = plan.settings->activeVariant;
    REQUIRE(apply(plan, removalOf(plan, variant)));
    CHECK(plan.smallCells.empty());
    CHECK_FALSE(plan.settings->activeVariant);
}

TEST_CASE("nudges of the same item merge, also their inverses") {
    Random random(7);
    Plan plan = randomPlan(random);
    const Plan start = plan;
    Mount m = *plan.mounts.begin();
    const auto nudge = [&](double by) {
        m.at.x += by;
        return Edit{"Move mount", {Put{m}}};
    };
    const Edit first = nudge(1), second = nudge(2);
    const auto undoFirst = apply(plan, first), undoSecond = apply(plan, second);
    REQUIRE((undoFirst && undoSecond));
    const auto both = merged(first, second), undoBoth = merged(*undoSecond, *undoFirst);
    REQUIRE((both && undoBoth));
    Plan once = start;
    REQUIRE(apply(once, *both));
    CHECK(once == plan);
    REQUIRE(apply(plan, *undoBoth));
    CHECK(plan == start);
    Mount other = *++plan.mounts.begin();
    CHECK_FALSE(merged(first, {"Move mount", {Put{other}}}));
    CHECK_FALSE(merged(first, {"Turn mount", {Put{m}}}));
    CHECK_FALSE(merged(first, {"Move mount", {Remove{m.id}}}));
}

TEST_CASE("many buildings in one change do the same as a put each, and undo takes all of them back") {
    Random random(77);
    const Plan before = randomPlan(random);
    std::vector<Building> list;
    std::uint32_t next = before.lastId.v;
    before.scenery.forEachBuilding([&](Building b) {
        if (list.size() % 3 != 0) b.id = {++next}; // two new ones for each that is replaced
        b.heightM += 1.25;
        list.push_back(std::move(b));
    });
    REQUIRE(list.size() > 200);
    Edit singly{"Import", {}};
    for (const Building& b : list) singly.changes.emplace_back(Put{b});
    const Edit atOnce{"Import", {PutBuildings{std::make_shared<const std::vector<Building>>(list)}}};
    Plan a = before, b = before;
    const auto undoA = apply(a, singly), undoB = apply(b, atOnce);
    REQUIRE(undoA);
    REQUIRE(undoB);
    CHECK(a == b);
    CHECK(a.lastId == b.lastId);
    CHECK(undoB->changes.size() <= 2);
    const auto redo = apply(b, *undoB);
    REQUIRE(redo);
    CHECK(b == before);
    REQUIRE(apply(b, *redo));
    CHECK(b == a);
}

TEST_CASE("of many buildings one bad one refuses all, by a sentence") {
    Random random(78);
    const Plan before = randomPlan(random);
    std::vector<Building> list;
    before.scenery.forEachBuilding([&](const Building& b) { list.push_back(b); });
    list.back().heightM = -3;
    Plan plan = before;
    const auto done =
        apply(plan, {"Import", {PutBuildings{std::make_shared<const std::vector<Building>>(list)}}});
    REQUIRE_FALSE(done);
    CHECK(done.error().sentence().find("height") != std::string::npos);
    CHECK(plan == before);
    const auto gone = std::make_shared<const std::vector<ItemId>>(std::vector<ItemId>{list[0].id, {4000000}});
    CHECK_FALSE(apply(plan, {"Remove", {RemoveBuildings{gone}}}));
    CHECK(plan == before);
}
