// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "plan/edit.h"
#include "review/review.h"
#include "review/standing.h"

using namespace fw;

namespace {

Plan planWithMount() {
    Plan plan;
    Mount m;
    m.id = {7};
    m.name = "W-17";
    plan.mounts.put(m);
    Variant v;
    v.id = {3};
    plan.variants.put(v);
    PlanSettings s = *plan.settings;
    s.activeVariant = {3};
    plan.settings = std::make_shared<const PlanSettings>(s);
    plan.lastId = {9};
    return plan;
}

Finding highMount(double h) {
    Finding f;
    f.rule = "height-window";
    f.subjects = {ItemId{7}};
    f.measured = {h, "m"};
    f.limit = {h > 9 ? 9.0 : 6.0, "m"};
    return f;
}

const std::vector<Quantity> kSlack{{0.2, "m"}};
const std::vector<Quantity>& slack(const std::string&) { return kSlack; }

Finding judged(const Plan& plan, Finding f, std::vector<ItemId>* stale = nullptr) {
    std::vector<Finding> fs{std::move(f)};
    auto s = applyWaivers(plan, fs, slack);
    if (stale) *stale = std::move(s);
    return fs[0];
}

Waiver waiverOf(double measured, double limit, const std::string& unit = "m") {
    Waiver w;
    w.measured = measured;
    w.limit = limit;
    w.unit = unit;
    return w;
}

Finding findingOf(double measured, double limit, const std::string& unit = "m") {
    Finding f;
    f.measured = {measured, unit};
    f.limit = {limit, unit};
    return f;
}

} // namespace

TEST_CASE("A finding stands by its reason, is now worse beyond the slack, and the reason goes stale",
          "[review]") {
    Plan plan = planWithMount();
    const Plan before = plan;
    CHECK(judged(plan, highMount(10)).standing == Standing::open);

    const auto edit =
        standBecause(plan, highMount(10), "the lamp is that tall", "A. Planner", Date{2026, 5, 4});
    REQUIRE(edit.ok());
    const auto inverse = apply(plan, *edit);
    REQUIRE(inverse.ok());
    REQUIRE(plan.waivers.size() == 1);
    const Waiver& w = *plan.waivers.begin();
    CHECK(w.when == "2026-05-04");
    CHECK(w.variant == ItemId{3});
    CHECK(w.measured == 10);
    CHECK(w.limit == 9);

    std::vector<ItemId> stale;
    CHECK(judged(plan, highMount(10), &stale).standing == Standing::stands);
    CHECK(judged(plan, highMount(10)).waiver == w.id);
    CHECK(stale.empty());
    CHECK(judged(plan, highMount(10.19)).standing == Standing::stands);
    CHECK(judged(plan, highMount(10.21)).standing == Standing::nowWorse);
    CHECK(judged(plan, highMount(9.5)).standing == Standing::stands);
    CHECK(judged(plan, highMount(5)).standing == Standing::nowWorse); // the other side of the window
    std::vector<Finding> none;
    CHECK(applyWaivers(plan, none, slack) == std::vector<ItemId>{w.id});

    // Kept again: the same waiver takes the new figures.
    const auto again =
        standBecause(plan, highMount(11), "taller lamp, agreed", "A. Planner", Date{2026, 6, 1});
    REQUIRE(again.ok());
    Plan later = plan;
    const auto back = apply(later, *again);
    REQUIRE(back.ok());
    CHECK(later.waivers.size() == 1);
    CHECK(judged(later, highMount(11)).standing == Standing::stands);
    REQUIRE(apply(later, *back).ok());
    CHECK(later == plan);

    // Undone: open again.
    REQUIRE(apply(plan, *inverse).ok());
    CHECK(judged(plan, highMount(10)).standing == Standing::open);
    Plan want = before;
    want.lastId = plan.lastId;
    CHECK(plan == want);
}

TEST_CASE("A finding does not stand without a reason", "[review]") {
    const Plan plan = planWithMount();
    for (const char* reason : {"", "  ", "\t\n"}) {
        const auto r = standBecause(plan, highMount(10), reason, "A. Planner", Date{2026, 5, 4});
        REQUIRE(!r.ok());
        CHECK(r.error().sentence().find("W-17") != std::string::npos);
        CHECK(r.error().sentence().find("reason") != std::string::npos);
    }
}

TEST_CASE("A waiver of another variant, rule or subject keeps nothing and is not stale here", "[review]") {
    Plan plan = planWithMount();
    Variant other;
    other.id = {4};
    plan.variants.put(other);
    Waiver w;
    w.id = {9};
    w.rule = "height-window";
    w.subjects = {ItemId{7}};
    w.variant = {4};
    w.reason = "there it may";
    w.measured = 10, w.limit = 9, w.unit = "m";
    plan.waivers.put(w);
    std::vector<ItemId> stale;
    CHECK(judged(plan, highMount(10), &stale).standing == Standing::open);
    CHECK(stale.empty());
    w.variant = {3};
    w.rule = "sky-view";
    plan.waivers.put(w);
    CHECK(judged(plan, highMount(10), &stale).standing == Standing::open);
    CHECK(stale == std::vector<ItemId>{ItemId{9}});
}

TEST_CASE("Subjects are matched in any order, and of two waivers alike the later holds", "[review]") {
    Plan plan = planWithMount();
    Waiver w;
    w.rule = "mutual-facing";
    w.subjects = {ItemId{5}, ItemId{6}};
    w.variant = {3};
    w.measured = 100, w.limit = 120, w.unit = "m";
    for (const std::uint32_t id : {11u, 12u}) {
        w.id = {id};
        plan.waivers.put(w);
    }
    Finding f = findingOf(100, 120);
    f.rule = "mutual-facing";
    f.subjects = {ItemId{6}, ItemId{5}};
    std::vector<ItemId> stale;
    CHECK(judged(plan, f, &stale).waiver == ItemId{12});
    CHECK(stale == std::vector<ItemId>{ItemId{11}});
}

TEST_CASE("Which way is worse follows from the side of the limit", "[review]") {
    const std::vector<Quantity> s{{0.5, "m"}, {1, "dB"}};
    // Too near: less is worse.
    CHECK_FALSE(worseThanKept(findingOf(99.6, 120), waiverOf(100, 120), s));
    CHECK(worseThanKept(findingOf(99.4, 120), waiverOf(100, 120), s));
    CHECK_FALSE(worseThanKept(findingOf(119, 120), waiverOf(100, 120), s));
    // Too strong: more is worse.
    CHECK_FALSE(worseThanKept(findingOf(7.9, 6, "dB"), waiverOf(7, 6, "dB"), s));
    CHECK(worseThanKept(findingOf(8.1, 6, "dB"), waiverOf(7, 6, "dB"), s));
    // Under a graver grade's limit: a warning of 150 m against 200 m has become a block against 120 m.
    CHECK(worseThanKept(findingOf(150, 120), waiverOf(150, 200), s));
    CHECK_FALSE(worseThanKept(findingOf(110, 200), waiverOf(110, 120), s));
    // On the limit to the digit both days, then past it.
    CHECK_FALSE(worseThanKept(findingOf(6, 6, "dB"), waiverOf(6, 6, "dB"), s));
    CHECK(worseThanKept(findingOf(7.5, 6, "dB"), waiverOf(6, 6, "dB"), s));
    // Another unit measures another thing.
    CHECK(worseThanKept(findingOf(50, 45, "%"), waiverOf(14, 30), s));
    // No slack for a unit: any more is worse.
    CHECK(worseThanKept(findingOf(10.001, 6, "deg"), waiverOf(10, 6, "deg"), s));
}
