// SPDX-License-Identifier: GPL-3.0-or-later
// Rules about the place itself: each at, just under and just over its limits, by hand.
#include "holds.h"
#include "review/lip.h"
#include "small_plan.h"

#include <cmath>

using namespace fwtest;

TEST_CASE("height-window: at its ends and just past them", "[review][rules]") {
    SmallPlan p;
    const ItemId mount = p.mount(p.middle);
    p.cell(mount, 0);
    const auto grade = [&](double h) {
        p.changeMount(mount, [&](Mount& m) { m.height = {h}; });
        return p.grade("height-window", {mount});
    };
    CHECK(grade(5.99) == "warn");
    CHECK(grade(6) == "none");
    CHECK(grade(9) == "none");
    CHECK(grade(9.01) == "warn");
    const auto f = p.finding("height-window", {mount});
    REQUIRE(f);
    CHECK(f->measured.value == 9.01);
    CHECK(f->limit.value == 9);
    // A bare mount, or one whose cells belong to another variant, is not reviewed.
    SmallPlan bare;
    const ItemId alone = bare.mount(bare.middle);
    bare.changeMount(alone, [](Mount& m) { m.height = {20}; });
    CHECK(bare.grade("height-window", {alone}) == "none");
}

TEST_CASE("line-clearance: working zone and clearance by voltage", "[review][rules]") {
    const auto grade = [](double metres, std::optional<double> kv,
                          MountKind kind = MountKind::pole) -> std::string {
        SmallPlan p;
        const ItemId mount = p.mount(p.middle, kind);
        p.cell(mount, 0);
        const PlanePoint near = p.away(p.middle, 90, metres);
        OverheadLine l;
        l.id = p.id();
        l.name = "Feeder";
        l.path = {near - PlanePoint{0, 100}, near + PlanePoint{0, 100}};
        l.kilovolts = kv;
        p.plan.overheadLines.put(l);
        const auto f = p.finding("line-clearance", {mount, l.id});
        if (f) CHECK(holds(f->text, "Treat every line as live"));
        return f ? wordFor(f->severity) : "none";
    };
    // 3 m of working zone and 3 m for 11 kV. A hundredth of a metre is far above the plane's error here.
    CHECK(grade(5.99, 11) == "block");
    CHECK(grade(6.01, 11) == "none");
    CHECK(grade(3.99, 0.4) == "block");
    CHECK(grade(4.01, 0.4) == "none");
    CHECK(grade(7.99, 110) == "block");
    CHECK(grade(8.01, 110) == "none");
    CHECK(grade(9.99, 400) == "block");
    CHECK(grade(10.01, 400) == "none");
    CHECK(grade(9.99, std::nullopt) == "block");
    CHECK(grade(10.01, std::nullopt) == "none");
    CHECK(grade(5.99, 11, MountKind::wall) == "block");
}

TEST_CASE("line-clearance: what nobody has surveyed blocks at a pole", "[review][rules]") {
    SmallPlan p;
    const ItemId mount = p.mount(p.middle);
    p.cell(mount, 0);
    const auto grade = [&](auto change) {
        p.changeMount(mount, change);
        return p.grade("line-clearance", {mount});
    };
    CHECK(grade([](Mount&) {}) == "none"); // surveyed, none there
    CHECK(grade([](Mount& m) { m.linesSurveyed = false; }) == "block");
    CHECK(grade([](Mount& m) { m.kind = MountKind::wall; }) == "warn");
    CHECK(grade([](Mount& m) { m.lineKnownClearanceM = 9.99; }) == "block"); // voltage unknown: 3 + 7 m
    CHECK(grade([](Mount& m) { m.lineKnownClearanceM = 10.0; }) == "none");
    CHECK(grade([](Mount& m) {
              m.lineKnownClearanceM = 5;
              m.linesSurveyed = true;
          }) == "block");
    // A line in the plan, with its voltage, says more than the bare distance.
    OverheadLine l;
    l.id = p.id();
    l.path = {p.away(p.middle, 90, 5) - PlanePoint{0, 20}, p.away(p.middle, 90, 5) + PlanePoint{0, 20}};
    l.kilovolts = 0.4;
    p.plan.overheadLines.put(l);
    CHECK(p.grade("line-clearance", {mount}) == "none");
    CHECK(p.grade("line-clearance", {mount, l.id}) == "none");
}

TEST_CASE("into-obstruction: a wall across the beam", "[review][rules]") {
    const auto found = [](double metres, double heightM = 12) {
        SmallPlan p;
        const ItemId small = p.cell(p.mount(p.middle), p.frame.toTrue({0}, p.middle).deg); // grid north
        p.building(p.middle + PlanePoint{0, metres + 1}, 90, 200, 2, heightM);
        return std::pair{p.grade("into-obstruction", {p.radioOf(small)}),
                         p.finding("into-obstruction", {p.radioOf(small)})};
    };
    // A wall at 10 m: nearer than 15 m within acos(10/15) = 48 deg, which is the whole beam.
    CHECK(found(10).first == "block");
    CHECK(found(10).second->measured.value == Approx(100).margin(0.01));
    CHECK(found(15.1).first == "none");    // a building to be served, beyond 12 m
    CHECK(found(10, 6.5).first == "none"); // under the antenna's 7 m
    // A wall at d is nearer than 15 m within acos(d/15) of the boresight. The share of a pattern of
    // 10^(-1.2 (phi/65)^2) is erf(a phi) / erf(a 32.5), a = sqrt(1.2 ln 10) / 65 per deg.
    const double a = std::sqrt(1.2 * std::log(10.0)) / 65;
    for (const double d : {13.0, 14.0, 14.5}) {
        const double phi = std::acos(d / 15) * 180 / M_PI;
        const double want = 100 * std::erf(a * phi) / std::erf(a * 32.5);
        const auto f = found(d);
        INFO("wall at " << d << " m, share " << want);
        CHECK(f.first == (want >= 65 ? "block" : want >= 45 ? "warn" : "none"));
        // Bearings stand half a degree apart: one more or less is 1 % of the beam.
        if (f.second) CHECK(f.second->measured.value == Approx(want).margin(1.2));
    }
}

TEST_CASE("into-obstruction: the boresight is to be clear, buildings to be served aside", "[review][rules]") {
    const auto found = [](double metres) { // a pillar a metre wide
        SmallPlan p;
        const ItemId small = p.cell(p.mount(p.middle), p.frame.toTrue({0}, p.middle).deg);
        p.building(p.middle + PlanePoint{0, metres + 0.5}, 0, 1, 1, 12);
        return p.finding("into-obstruction", {p.radioOf(small)});
    };
    REQUIRE(found(11.9));
    CHECK(found(11.9)->severity == Severity::warn);
    CHECK(found(11.9)->measured.value == Approx(11.9).margin(0.01));
    CHECK_FALSE(found(12.1));
    // Its own building is never one to be served: a wall mount that looks along a court at its own wing.
    SmallPlan p;
    Building b;
    b.id = p.id();
    b.heightM = 12;
    const PlanePoint o = p.middle;
    b.footprint.outer = {o + PlanePoint{-30, -10}, o + PlanePoint{30, -10}, o + PlanePoint{30, 40},
                         o + PlanePoint{20, 40},   o + PlanePoint{20, 0},   o + PlanePoint{-30, 0}};
    p.plan.scenery.putBuildings({b});
    const ItemId mount = p.mount(o + PlanePoint{-5, 3}, MountKind::wall);
    p.changeMount(mount, [](Mount& m) { m.faces = TrueAzimuth{0}; });
    p.changeMount(mount, [&](Mount& m) { m.at = o + PlanePoint{-5, 0.5}; });
    const ItemId small = p.cell(mount, p.frame.toTrue({70}, p.middle).deg);
    const auto f = p.finding("into-obstruction", {p.radioOf(small)});
    REQUIRE(f);
    CHECK(f->measured.unit == "m");
    // The wing stands 25 m east; at 80 deg, the beam's rim, 25 / sin 80.
    CHECK(f->measured.value ==
          Approx(25 / std::sin(80 * M_PI / 180)).margin(0.3)); // bearings half a degree apart
    CHECK(f->limit.value == 30);
}

TEST_CASE("A beam's lower edge over its own roof, by hand", "[review][rules]") {
    Prism roof;
    roof.id = {1};
    roof.footprint.outer = {{-10, -10}, {10, -10}, {10, 10}, {-10, 10}};
    roof.heightM = 10;
    roof.parapetM = 1;
    const Surface s =
        SurfaceBuilder::build({-100, -100, 100, 100}, 2, std::make_shared<const Terrain>(), {roof}, {}, 1);
    LipSpec spec;
    spec.antennaAmsl = 13;
    spec.boresight = {0};
    spec.hBeamDeg = 2; // narrow: one edge of the roof, squarely met
    spec.depressionDeg = 18;
    spec.frequency = megahertz(1800);
    // 2 m before the edge: the ray is 13 - 2 tan 18 = 12.350 m high there, 1.350 m over roof and parapet. It
    // lands at 13 / tan 18 = 40.01 m; F1 = sqrt(0.16655 * 2 * 38.01 / 40.01) = 0.5625 m.
    spec.at = {0, 8};
    auto lip = worstLip(s, 0, spec);
    REQUIRE(lip);
    CHECK(lip->alongM == Approx(2).margin(0.001)); // 2 / cos(1 deg) at the beam's rim
    CHECK(lip->clearanceM == Approx(1.3502).margin(0.001));
    CHECK(lip->firstZoneM == Approx(0.5625).margin(0.001));
    // 12 m before the edge: 13 - 12 tan 18 = 9.101 m, 1.899 m under the top.
    spec.at = {0, -2};
    lip = worstLip(s, 0, spec);
    REQUIRE(lip);
    CHECK(lip->clearanceM == Approx(-1.899).margin(0.002));
    // Outside the outline, looking away: no lip.
    spec.at = {0, 10.2};
    CHECK_FALSE(worstLip(s, 0, spec));
    CHECK_FALSE(worstLip(s, -1, spec));
    // A ray that lands on the roof before its edge has no zone left there and runs under the top.
    spec.at = {0, -9};
    spec.depressionDeg = 60;
    lip = worstLip(s, 0, spec);
    REQUIRE(lip);
    CHECK(lip->firstZoneM == 0);
    CHECK(lip->clearanceM < -20);
    // The wider beam meets the side edges farther off: worse than the near edge.
    spec.at = {0, 8};
    spec.depressionDeg = 18;
    spec.hBeamDeg = 160;
    lip = worstLip(s, 0, spec);
    REQUIRE(lip);
    CHECK(lip->alongM > 9);
}

TEST_CASE("roof-edge: cut blocks, grazing warns, clear is clear; only on roofs", "[review][rules]") {
    SmallPlan p;
    p.building(p.middle, 0, 20, 20, 10); // parapet 1 m by default
    const ItemId mount = p.mount(p.middle + PlanePoint{0, 8}, MountKind::roof);
    const ItemId small = p.cell(mount, p.frame.toTrue({0}, p.middle).deg);
    Radio r = *p.plan.radios.find(p.radioOf(small));
    r.hBeamDeg = 4;
    r.vBeamDeg = 30;
    r.tiltDeg = 3; // lower edge 18 deg down
    p.plan.radios.put(r);
    const auto grade = [&](double h) {
        p.changeMount(mount, [&](Mount& m) { m.height = {h}; });
        return p.grade("roof-edge", {r.id});
    };
    // Ray at the edge: h - 0.650; top 11 m; 0.6 F1 about 0.33 m.
    CHECK(grade(11.60) == "block");
    CHECK(grade(11.70) == "warn");
    CHECK(grade(11.95) == "warn");
    CHECK(grade(12.05) == "none");
    p.changeMount(mount, [](Mount& m) { m.kind = MountKind::wall; });
    CHECK(grade(11.60) == "none");
}

TEST_CASE("sky-view: by duplex and timing source, at the measured figures", "[review][rules]") {
    SmallPlan p;
    Building court; // a court of 20 m by 20 m amid walls of 17 m, 10 m over the antenna
    court.id = p.id();
    court.heightM = 17;
    const PlanePoint o = p.middle;
    court.footprint.outer = {o + PlanePoint{-14, -14}, o + PlanePoint{14, -14}, o + PlanePoint{14, 14},
                             o + PlanePoint{-14, 14}};
    court.footprint.holes = {
        {o + PlanePoint{-10, -10}, o + PlanePoint{-10, 10}, o + PlanePoint{10, 10}, o + PlanePoint{10, -10}}};
    p.plan.scenery.putBuildings({court});
    const ItemId mount = p.mount(o);
    const ItemId small = p.cell(mount, 0);
    CHECK(p.grade("sky-view", {mount}) == "none"); // timing over the backhaul
    p.changeMount(mount, [](Mount& m) { m.gnssTiming = true; });
    CHECK(p.grade("sky-view", {mount}) == "note"); // FDD
    SmallCell c = *p.plan.smallCells.find(small);
    c.carrier = {Technology::lte, 39150, 20, Duplex::tdd, 0.74, 15};
    p.plan.smallCells.put(c);
    CHECK(p.grade("sky-view", {mount}) == "block");
    // By hand: wall elevation towards azimuth a off its normal is atan(10 cos a / 10), so sin h =
    // cos a / sqrt(1 + cos^2 a); its mean over +-45 deg is (4/pi) integral = (4/pi) asin(sin 45 / sqrt 2) =
    // 2/3. Hidden above 10 deg: (2/3 - sin 10) / (1 - sin 10) = 59.66 %. Walls are cut to millimetres.
    const auto f = p.finding("sky-view", {mount});
    REQUIRE(f);
    CHECK(f->measured.value == Approx(59.66).margin(0.1));
    p.set("sky-view.blocked", f->measured.value + 0.01);
    CHECK(p.grade("sky-view", {mount}) == "warn"); // all round is one wide obstruction still
    p.set("sky-view.run", 360);
    CHECK(p.grade("sky-view", {mount}) == "none");
    p.set("sky-view.blocked", f->measured.value - 0.01);
    CHECK(p.grade("sky-view", {mount}) == "block");
}
