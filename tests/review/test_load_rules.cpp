// SPDX-License-Identifier: GPL-3.0-or-later
// Rules that rest on the study's figures: their grades just under and just over what the study says, and that
// the figure is the study's.
#include "small_plan.h"

using namespace fwtest;

namespace {

// A macro to the north over a few houses, a small cell among them.
struct Served {
    SmallPlan p;
    ItemId mount, small;
    Served() {
        p.macro(p.away(p.middle, 0, 250));
        for (int k = -2; k <= 2; ++k) p.building(p.middle + PlanePoint{k * 30.0, 40}, 90, 14, 10, 9);
        mount = p.mount(p.middle);
        small = p.cell(mount, 0);
    }
};

} // namespace

TEST_CASE("macro-faces-cell: the macro's level against the cell's own in front of it", "[review][rules]") {
    Served s;
    const auto study = s.p.study();
    const double azimuth = study->smallCell(s.small)->azimuth.deg * M_PI / 180;
    const PlanePoint front = s.p.middle + PlanePoint{std::sin(azimuth), std::cos(azimuth)} * 30.0;
    s.p.set("macro-faces-cell.distance", 30);
    const auto macro = study->macroAt(0, front);
    const auto own = study->smallAt(s.small, front);
    REQUIRE(macro);
    REQUIRE(own);
    const double over = macro->levelDbm - *own;
    s.p.set("macro-faces-cell.warn", over - 0.01);
    s.p.set("macro-faces-cell.block", over + 0.01);
    CHECK(s.p.grade("macro-faces-cell", {s.small}) == "warn");
    CHECK(s.p.finding("macro-faces-cell", {s.small})->measured.value == Approx(over).margin(1e-9));
    s.p.set("macro-faces-cell.block", over - 0.01);
    CHECK(s.p.grade("macro-faces-cell", {s.small}) == "block");
    s.p.set("macro-faces-cell.warn", over + 0.01);
    s.p.set("macro-faces-cell.block", over + 0.02);
    CHECK(s.p.grade("macro-faces-cell", {s.small}) == "none");
}

TEST_CASE("macro-faces-cell: not for a carrier of its own", "[review][rules]") {
    Served s;
    s.p.set("macro-faces-cell.warn", -30);
    s.p.set("macro-faces-cell.block", -30);
    CHECK(s.p.grade("macro-faces-cell", {s.small}) == "block");
    const ItemId own = s.p.cell(s.mount, 180, 2850);
    CHECK(s.p.grade("macro-faces-cell", {own}) == "none");
}

TEST_CASE("macro-too-near: a strong macro and little relief, both", "[review][rules]") {
    Served s;
    const auto study = s.p.study();
    const double level = study->macroAt(0, s.p.middle)->levelDbm, relief = study->reliefPoints(s.small);
    REQUIRE(relief > 0);
    const auto grade = [&](double warn, double block, double points) {
        s.p.set("macro-too-near.warn", warn);
        s.p.set("macro-too-near.block", block);
        s.p.set("macro-too-near.relief", points);
        return s.p.grade("macro-too-near", {s.small});
    };
    CHECK(grade(level - 0.01, level + 0.01, relief + 0.01) == "warn");
    CHECK(grade(level - 1, level - 0.01, relief + 0.01) == "block");
    CHECK(grade(level + 0.01, level + 1, relief + 0.01) == "none");
    CHECK(grade(level - 1, level - 0.01, relief - 0.01) == "none");
    // Not chosen: what it overlooks stands for what it could relieve.
    SmallCell c = *s.p.plan.smallCells.find(s.small);
    c.chosen = false;
    s.p.plan.smallCells.put(c);
    const double cost = s.p.study()->outlook(s.small).costPoints;
    CHECK(grade(level - 1, level - 0.01, cost + 0.01) == "block");
    CHECK(grade(level - 1, level - 0.01, cost - 0.01) == "none");
}

TEST_CASE("sparse-outlook: cost in beam and in sight", "[review][rules]") {
    Served s;
    const double cost = s.p.study()->outlook(s.small).costPoints;
    REQUIRE(cost > 0);
    s.p.set("sparse-outlook.cost", cost + 0.001);
    CHECK(s.p.grade("sparse-outlook", {s.small}) == "warn");
    s.p.set("sparse-outlook.cost", cost - 0.001);
    CHECK(s.p.grade("sparse-outlook", {s.small}) == "none");
}

TEST_CASE("outside-fringe: share of relief in fringe or congestion areas", "[review][rules]") {
    Served s;
    CongestionArea area;
    area.id = s.p.id();
    area.name = "Market";
    const PlanePoint o = s.p.middle;
    area.area.outer = {o, o + PlanePoint{60, 0}, o + PlanePoint{60, 60}, o + PlanePoint{0, 60}};
    s.p.plan.congestionAreas.put(area);
    const double share = 100 * s.p.study()->fringeShare(s.small);
    REQUIRE(share > 0);
    REQUIRE(share < 100);
    s.p.set("outside-fringe.share", share + 0.001);
    CHECK(s.p.grade("outside-fringe", {s.small}) == "warn");
    s.p.set("outside-fringe.share", share - 0.001);
    CHECK(s.p.grade("outside-fringe", {s.small}) == "none");
    s.p.set("outside-fringe.share", 100);
    SmallCell c = *s.p.plan.smallCells.find(s.small);
    c.chosen = false; // takes nothing
    s.p.plan.smallCells.put(c);
    CHECK(s.p.grade("outside-fringe", {s.small}) == "none");
}

TEST_CASE("tilt-outlook: floors above the upper half-power edge, and the tilt that catches them",
          "[review][rules]") {
    SmallPlan p;
    // A tower close by: at 25 m its top storey stands far above a beam of 10 deg that looks 9 deg down.
    p.building(p.middle + PlanePoint{0, 35}, 90, 40, 10, 30);
    p.macro(p.away(p.middle, 180, 400));
    const ItemId small = p.cell(p.mount(p.middle), 0);
    Radio r = *p.plan.radios.find(p.radioOf(small));
    r.vBeamDeg = 10;
    r.tiltDeg = 9;
    p.plan.radios.put(r);
    const Outlook o = p.study()->outlook(small);
    REQUIRE(o.floorM2 > 0);
    REQUIRE(o.floorMissedM2 > 0);
    const double missed = 100 * o.floorMissedM2 / o.floorM2;
    CHECK(missed <= 100);
    p.set("tilt-outlook.missed", missed - 0.001);
    CHECK(p.grade("tilt-outlook", {r.id}) == "warn");
    p.set("tilt-outlook.missed", missed + 0.001);
    CHECK(p.grade("tilt-outlook", {r.id}) == "none");
}
