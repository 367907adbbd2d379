// SPDX-License-Identifier: GPL-3.0-or-later
// Rules about who looks at whom: each at, just under and just over its limits, by hand.
#include "holds.h"
#include "small_plan.h"

using namespace fwtest;

TEST_CASE("faces-macro: half the beamwidth and the margin, to both sides and over north", "[review][rules]") {
    SmallPlan p;
    const ItemId site = p.macro(p.away(p.middle, 10, 150));
    const ItemId small = p.cell(p.mount(p.middle), 0);
    // 65 / 2 + 5 = 37.5 deg; plane azimuths are good to 0.01 deg.
    for (const double side : {-1.0, 1.0}) {
        p.turn(small, 10 + side * 37.45);
        CHECK(p.grade("faces-macro", {small, site}) == "block");
        p.turn(small, 10 + side * 37.55);
        CHECK(p.grade("faces-macro", {small, site}) == "none");
    }
    p.turn(small, 10 - 37.55);
    p.set("faces-macro.margin", 5.1);
    CHECK(p.grade("faces-macro", {small, site}) == "block");
}

TEST_CASE("faces-macro: near blocks, half the spacing warns, one spacing is a note", "[review][rules]") {
    const auto grade = [](double metres, double spacing) {
        SmallPlan p;
        const PlanePoint at = p.away(p.middle, 300, metres);
        const ItemId site = p.macro(at);
        if (spacing > 0) // three neighbours, whose mean distance is the spacing
            for (const double k : {0.5, 1.0, 1.5}) p.macro(p.away(at, 100 * k, spacing * k));
        return p.grade("faces-macro", {p.cell(p.mount(p.middle), 300), site});
    };
    // Alone, the site counts as 1000 m from its neighbours.
    CHECK(grade(199.9, 0) == "block");
    CHECK(grade(200.1, 0) == "warn");
    CHECK(grade(499.9, 0) == "warn");
    CHECK(grade(500.1, 0) == "note");
    CHECK(grade(999.9, 0) == "note");
    CHECK(grade(1000.1, 0) == "none");
    CHECK(grade(299.9, 600) == "warn");
    CHECK(grade(300.1, 600) == "note");
    CHECK(grade(599.9, 600) == "note");
    CHECK(grade(600.1, 600) == "none");
}

TEST_CASE("faces-macro: a fourth neighbour and sites that send nothing do not set the spacing",
          "[review][rules]") {
    SmallPlan p;
    const PlanePoint at = p.away(p.middle, 45, 350);
    const ItemId site = p.macro(at);
    for (const double k : {600.0, 600.0, 600.0}) p.macro(p.away(at, k + 100 * p.plan.lastId.v, k));
    p.macro(p.away(at, 10, 5000));
    p.plan.macroSites.put({p.id(), "planned", p.away(at, 20, 50)}); // no cell on it
    const ItemId small = p.cell(p.mount(p.middle), 45);
    CHECK(p.grade("faces-macro", {small, site}) == "note"); // 350 m lies beyond half of 600 m
    const auto f = p.finding("faces-macro", {small, site});
    REQUIRE(f);
    CHECK(f->limit.value == Approx(600).margin(0.01)); // placed by geodesic
    CHECK(f->measured.value == Approx(350).margin(0.01));
}

TEST_CASE("faces-macro: shielded is a note, another carrier counts one grade lower", "[review][rules]") {
    SmallPlan p;
    const ItemId site = p.macro(p.away(p.middle, 90, 150), 1300, 20);
    const ItemId mount = p.mount(p.middle);
    const ItemId small = p.cell(mount, 90), own = p.cell(mount, 270, 2850);
    p.turn(own, 90);
    CHECK(p.grade("faces-macro", {small, site}) == "block");
    CHECK(p.grade("faces-macro", {own, site}) == "warn");
    // Line from 7 m to 20 m: 13.5 m high half way.
    p.building(p.away(p.middle, 90, 75), 0, 40, 2, 13.3);
    CHECK(p.grade("faces-macro", {small, site}) == "block");
    p.building(p.away(p.middle, 90, 75), 0, 40, 2, 13.8);
    CHECK(p.grade("faces-macro", {small, site}) == "note");
    CHECK(p.grade("faces-macro", {own, site}) == "none");
    const auto f = p.finding("faces-macro", {small, site});
    REQUIRE(f);
    CHECK(holds(f->text, "M-1"));
    CHECK(holds(f->text, "shielded"));
}

TEST_CASE("faces-macro: a macro that soon takes over along the boresight raises the grade",
          "[review][rules]") {
    SmallPlan p;
    const ItemId site = p.macro(p.away(p.middle, 0, 300), 1300, 20, 180);
    const ItemId small = p.cell(p.mount(p.middle), 0);
    CHECK(p.grade("faces-macro", {small, site}) == "warn");
    const double lead = p.study()->leadAlongBoresightM(small);
    REQUIRE(lead < p.plan.settings->model.smallReachM);
    p.set("faces-macro.lead-block", lead + 0.1);
    auto f = p.finding("faces-macro", {small, site});
    REQUIRE(f);
    CHECK(f->severity == Severity::block);
    CHECK(f->measured.value == lead);
    p.set("faces-macro.lead-block", lead - 0.1);
    CHECK(p.grade("faces-macro", {small, site}) == "warn");
    p.set("faces-macro.warn-spacings", 0.25); // 300 m is a note by its place now
    CHECK(p.grade("faces-macro", {small, site}) == "note");
    p.set("faces-macro.lead-warn", lead + 0.1);
    CHECK(p.grade("faces-macro", {small, site}) == "warn");
}

namespace {

// Two small cells, the second due 70 deg from the first, looking at each other but for `offA` and `offB`.
struct FacingPair {
    SmallPlan p;
    ItemId a, b;
    explicit FacingPair(double metres, double offA = 0, double offB = 0, std::int32_t channelB = 1300) {
        const PlanePoint from = p.away(p.middle, 250, metres / 2), to = p.away(from, 70, metres);
        a = p.cell(p.mount(from), 70 + offA);
        b = p.cell(p.mount(to), 250 + offB, channelB);
    }
    std::string mutual() { return p.grade("mutual-facing", {a, b}); }
    std::string oneWay() { return p.grade("one-way-facing", {a, b}); }
};

} // namespace

TEST_CASE("mutual-facing: distances, beams, carriers and walls", "[review][rules]") {
    CHECK(FacingPair(119.9).mutual() == "block");
    FacingPair far(120.1);
    far.p.set("mutual-facing.contested", 100);
    CHECK(far.mutual() == "none");
    CHECK(FacingPair(100, 32.45).mutual() == "block");
    CHECK(FacingPair(100, 32.55).mutual() == "none");
    CHECK(FacingPair(100, -32.55).mutual() == "none");
    CHECK(FacingPair(100, 0, 32.45).mutual() == "block");
    CHECK(FacingPair(100, 0, -32.55).mutual() == "none");
    CHECK(FacingPair(100, 0, 0, 2850).mutual() == "none");
    FacingPair wall(100);
    const PlanePoint half = wall.p.away(
        wall.p.plan.mounts.find(wall.p.plan.radios.find(wall.p.radioOf(wall.a))->mount)->at, 70, 50);
    wall.p.building(half, 160, 30, 2, 6.9); // antennas stand at 7 m
    CHECK(wall.mutual() == "block");
    wall.p.building(half, 160, 30, 2, 7.1);
    CHECK(wall.mutual() == "none");
    FacingPair spare(100);
    SmallCell c = *spare.p.plan.smallCells.find(spare.b);
    c.chosen = false;
    spare.p.plan.smallCells.put(c);
    CHECK(spare.mutual() == "none");
}

TEST_CASE("mutual-facing: farther off the contested share decides", "[review][rules]") {
    FacingPair far(150);
    far.p.macro(far.p.away(far.p.middle, 0, 600)); // load to contest
    const auto study = far.p.study();
    const double worst =
        100 * std::max(study->contestedShare(far.a, far.b), study->contestedShare(far.b, far.a));
    REQUIRE(worst > 1);
    far.p.set("mutual-facing.contested", worst - 0.1);
    CHECK(far.mutual() == "warn");
    far.p.set("mutual-facing.contested", worst + 0.1);
    CHECK(far.mutual() == "none");
    far.p.set("mutual-facing.contested", 0);
    far.p.set("mutual-facing.warn-within", 150.1);
    CHECK(far.mutual() == "warn");
    far.p.set("mutual-facing.warn-within", 149.9);
    CHECK(far.mutual() == "none");
}

TEST_CASE("one-way-facing: one looks, the other does not", "[review][rules]") {
    CHECK(FacingPair(119.9, 0, 90).oneWay() == "warn");
    CHECK(FacingPair(120.1, 0, 90).oneWay() == "none");
    CHECK(FacingPair(100, 32.45, 180).oneWay() == "warn");
    CHECK(FacingPair(100, 32.55, 180).oneWay() == "none");
    CHECK(FacingPair(100, 0, 32.45).oneWay() == "none"); // both look: mutual
    CHECK(FacingPair(100, 0, 32.55).oneWay() == "warn");
    CHECK(FacingPair(100, 120, 0).oneWay() == "warn");
    CHECK(FacingPair(100, 0, 90, 2850).oneWay() == "none");
    FacingPair p(100, 120, 0);
    const auto f = p.p.finding("one-way-facing", {p.a, p.b});
    REQUIRE(f);
    CHECK(f->text.rfind(p.p.plan.label(p.b) + " looks at " + p.p.plan.label(p.a), 0) == 0);
}

TEST_CASE("same-mount-spread: closer than the spread, over north, by carrier", "[review][rules]") {
    const auto grade = [](double a, double b, std::int32_t channel = 1300) {
        SmallPlan p;
        const ItemId mount = p.mount(p.middle);
        const ItemId x = p.cell(mount, a), y = p.cell(mount, b, channel);
        return p.grade("same-mount-spread", {p.radioOf(x), p.radioOf(y)});
    };
    CHECK(grade(10, 99.9) == "warn");
    CHECK(grade(10, 100) == "none");
    CHECK(grade(350, 79.9) == "warn");
    CHECK(grade(350, 80) == "none");
    CHECK(grade(80, 350.5) == "warn");
    CHECK(grade(10, 20, 2850) == "note");
    SmallPlan p;
    const ItemId x = p.cell(p.mount(p.middle), 10);
    const ItemId y = p.cell(p.mount(p.away(p.middle, 90, 1)), 20);
    CHECK(p.grade("same-mount-spread", {p.radioOf(x), p.radioOf(y)}) == "none"); // two mounts
}
