// SPDX-License-Identifier: GPL-3.0-or-later
// What a variant costs, held against sums made by hand of the unit costs.
#include "catch.h"
#include "plan/plan.h"
#include "siting/variant_cost.h"
#include "study/hand_plan.h"

#include <algorithm>

using namespace fw;
using namespace fw::testing;

namespace {

// A pole whose runs are told, and a wall whose runs are not.
struct TwoMounts {
    Plan plan;
    ItemId variant, pole, wall;
    TwoMounts() {
        variant = next();
        plan.variants.put({variant, "Main"});
        pole = mount("Pole", MountKind::pole, place(0, 0));
        wall = mount("Wall", MountKind::wall, place(100, 0));
        Mount told = *plan.mounts.find(pole);
        told.fibreM = 40;
        told.powerM = 25.5;
        plan.mounts.put(told);
    }
    ItemId next() { return plan.lastId = plan.nextId(); }
    ItemId mount(const char* name, MountKind kind, PlanePoint at) {
        Mount m;
        m.id = next();
        m.name = name;
        m.kind = kind;
        m.at = at;
        plan.mounts.put(m);
        return m.id;
    }
    ItemId radio(ItemId on) {
        Radio r;
        r.id = next();
        r.mount = on;
        plan.radios.put(r);
        return r.id;
    }
    ItemId cell(ItemId onRadio, bool chosen = true) {
        SmallCell s;
        s.id = next();
        s.radio = onRadio;
        s.variant = variant;
        s.chosen = chosen;
        plan.smallCells.put(s);
        return s.id;
    }
    [[nodiscard]] std::int64_t cost(const CostTable& t = {}) const {
        return variantCost(plan, variant, t).total;
    }
};

// Pole: 5000 + 1500 + 40 x 60 + 1200 + 25.5 x 45 + 300 = 11,547.5, rounded up.
constexpr std::int64_t kPole = 11548;
// Wall: 3500 + 1500 + 60 x 60 + 1200 + 60 x 45 + 300: 60 m are taken where nothing tells.
constexpr std::int64_t kWall = 12800;
constexpr std::int64_t kRadio = 4000;

} // namespace

TEST_CASE("a mount counts once, and so does a radio that carries several cells", "[variants]") {
    TwoMounts t;
    CHECK(t.cost() == 0);
    const ItemId first = t.radio(t.pole);
    t.cell(first);
    CHECK(t.cost() == kPole + kRadio);
    t.cell(first); // another carrier
    CHECK(t.cost() == kPole + kRadio);
    t.cell(t.radio(t.pole));
    CHECK(t.cost() == kPole + 2 * kRadio);
    t.cell(t.radio(t.wall), false); // a candidate
    CHECK(t.cost() == kPole + 2 * kRadio);
    t.cell(t.radio(t.wall));
    CHECK(t.cost() == kPole + kWall + 3 * kRadio);
    CHECK(variantCost(t.plan, t.next(), {}).total == 0); // of no variant
    CostTable dear;
    dear.radio = 4100;
    CHECK(t.cost(dear) == kPole + kWall + 3 * kRadio + 300);
}

TEST_CASE("the working of a variant's cost adds up, and says where runs and unit costs come from",
          "[variants]") {
    TwoMounts t;
    t.cell(t.radio(t.pole));
    t.cell(t.radio(t.wall));
    const auto told = [&](const CostTable& costs) {
        return workingOf(t.plan, t.variant, variantCost(t.plan, t.variant, costs));
    };
    const auto says = [](const Working& w, const char* words) {
        return std::any_of(w.remarks.begin(), w.remarks.end(),
                           [&](const std::string& r) { return r.find(words) != std::string::npos; });
    };
    const Working w = told({});
    double mounts = 0;
    for (const WorkingStep& s : w.steps) {
        CHECK(s.unit == "units");
        if (s.what == "Pole" || s.what == "Wall") mounts += s.value;
    }
    CHECK(mounts == kPole + kWall);
    CHECK(w.steps.back().value == kPole + kWall + 2 * kRadio);
    CHECK(w.source.find("own judgement, to be replaced") != std::string::npos);
    for (const WorkingInput& i : w.inputs) CHECK(i.origin.find("replace with yours") != std::string::npos);
    CHECK(says(w, "is taken as 60 m"));
    CHECK_FALSE(says(w, "nearest point"));
    CostTable mine;
    mine.currency = "crowns";
    mine.radio = 1;
    FibrePoint point;
    point.id = t.next();
    point.at = place(100, 30);
    t.plan.fibrePoints.put(point);
    const Working own = told(mine);
    CHECK(own.steps.back().unit == "crowns");
    CHECK(own.source == "table of costs");
    CHECK(says(own, "nearest point")); // the wall's fibre
    // 30 m, straight, times 1.3 in place of the 60 m that nobody knew.
    CHECK(own.steps.back().value == kPole + kWall + 2 - 21 * 60);
}
