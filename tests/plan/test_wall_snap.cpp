// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/wall_snap.h"

#include "catch.h"

#include <chrono>
#include <cmath>

using namespace fw;

namespace {

Building house(std::uint32_t id, Ring outer, double heightM = 9) {
    Building b;
    b.id = {id};
    b.footprint.outer = std::move(outer);
    b.heightM = heightM;
    return b;
}
Ring square(double x, double y, double side) {
    return {{x, y}, {x + side, y}, {x + side, y + side}, {x, y + side}};
}
WallIndex indexOf(std::vector<Building> buildings) {
    Scenery scenery;
    scenery.putBuildings(std::move(buildings));
    return WallIndex(scenery);
}

// Millimetres of the outline and the rounding of an arc tangent.
constexpr double kFine = 1e-9;
bool sameAngle(double a, double b) { return std::fabs(wrap180(a - b)) < 1e-9; }

} // namespace

TEST_CASE("each wall of a square looks away from it, north included") {
    const WallIndex walls = indexOf({house(1, square(0, 0, 20))});
    const auto look = [&](PlanePoint p, double deg, PlanePoint left, double fromLeft) {
        const auto s = walls.snap(p, 3);
        REQUIRE(s);
        CHECK(sameAngle(s->outward.deg, deg));
        CHECK(s->left == left);
        CHECK(s->fromLeftM == Approx(fromLeft).margin(kFine));
        CHECK(s->wallM == Approx(20).margin(kFine));
        CHECK_FALSE(s->corner);
    };
    look({12, -2}, 180, {0, 0}, 12); // from the south, left is west
    look({22, 12}, 90, {20, 0}, 12);
    look({12, 22}, 0, {20, 20}, 8); // from the north, left is east
    look({-2, 12}, 270, {0, 20}, 8);
    look({12, 19}, 0, {20, 20}, 8); // from the inside the same wall
}

TEST_CASE("a wall a degree to either side of north keeps its azimuth in range") {
    for (const double turn : {-1.0, 1.0}) {
        const double t = std::tan(radians(turn));
        // Corners are kept to the millimetre: 0.06 deg on 1 m would be coarse, on 100 m it is 0.001 deg.
        const WallIndex walls = indexOf({house(1, {{0, 0}, {100, 0}, {100, 10 - 100 * t}, {0, 10}})});
        const auto s = walls.snap({50, 10 - 50 * t + 1}, 2);
        REQUIRE(s);
        CHECK(std::fabs(wrap180(s->outward.deg - turn)) < 0.001);
        CHECK(s->outward.deg >= 0);
        CHECK(s->outward.deg < 360);
    }
}

TEST_CASE("a corner is preferred only within a third of the reach") {
    const WallIndex walls = indexOf({house(1, square(0, 0, 20))});
    const auto near = walls.snap({0.5, -0.5}, 3);
    REQUIRE(near);
    CHECK(near->corner);
    CHECK(near->at == PlanePoint{0, 0});
    const auto off = walls.snap({1.5, -0.5}, 3);
    REQUIRE(off);
    CHECK_FALSE(off->corner);
    CHECK(off->at == PlanePoint{1.5, 0});
    CHECK_FALSE(walls.snap({10, -3.1}, 3));
}

TEST_CASE("outside a corner the wall that looks towards the place is taken") {
    const WallIndex walls = indexOf({house(1, square(0, 0, 20))});
    CHECK(sameAngle(walls.snap({22, 20.5}, 3)->outward.deg, 90));
    CHECK(sameAngle(walls.snap({20.5, 22}, 3)->outward.deg, 0));
}

TEST_CASE("in a nook both walls can be had") {
    // An L: the nook at (10, 10) opens to the north-east.
    const WallIndex walls = indexOf({house(1, {{0, 0}, {20, 0}, {20, 10}, {10, 10}, {10, 20}, {0, 20}})});
    const auto north = walls.snap({12, 10.4}, 2);
    REQUIRE(north);
    CHECK(sameAngle(north->outward.deg, 0));
    const auto east = walls.snap({10.4, 12}, 2);
    REQUIRE(east);
    CHECK(sameAngle(east->outward.deg, 90));
    const auto nook = walls.snap({10.2, 10.3}, 2);
    REQUIRE(nook);
    CHECK(nook->corner);
    CHECK(nook->at == PlanePoint{10, 10});
}

TEST_CASE("walls of a yard look into the yard") {
    Building b = house(1, square(0, 0, 30));
    b.footprint.holes = {{{10, 10}, {10, 20}, {20, 20}, {20, 10}}};
    const WallIndex walls = indexOf({b});
    const auto s = walls.snap({15, 11}, 2);
    REQUIRE(s);
    CHECK(sameAngle(s->outward.deg, 0));
    CHECK(s->left == PlanePoint{20, 10});
    CHECK(s->fromLeftM == Approx(5).margin(kFine));
    CHECK_FALSE(walls.buildingAt({15, 15}));
    CHECK(walls.buildingAt({5, 15}));
}

TEST_CASE("a wall shared with the house next door is no place for a mount") {
    const WallIndex walls = indexOf({house(1, square(0, 0, 20)), house(2, square(20, 0, 20), 12)});
    const auto s = walls.snap({20, 9}, 3);
    CHECK_FALSE(s);
    const auto front = walls.snap({19, -0.5}, 3); // near the shared wall's end, but on the front
    REQUIRE(front);
    CHECK(sameAngle(front->outward.deg, 180));
    CHECK(walls.buildingAt({20, 10})->id == ItemId{2}); // the higher of the two
}

TEST_CASE("an index knows whether it is of these buildings") {
    Scenery scenery;
    scenery.putBuildings({house(1, square(0, 0, 20))});
    const WallIndex walls(scenery);
    CHECK(walls.isOf(scenery));
    Scenery more = scenery;
    more.putBuildings({house(2, square(50, 0, 20))});
    CHECK_FALSE(walls.isOf(more));
    more = scenery;
    more.trees.put({{9}, {0, 0}});
    CHECK(walls.isOf(more));
    CHECK_FALSE(WallIndex(Scenery{}).snap({0, 0}, 100));
}

TEST_CASE("mounts of a settled kind stand off the wall, behind the edge, inside the roof") {
    const WallIndex walls = indexOf({house(7, square(0, 0, 20))});
    const Footing wall = footingOf(walls, MountKind::wall, {10, -1}, 3);
    CHECK(planeDistance(wall.at, {10, -kOffWallM}) < kFine);
    CHECK(sameAngle(wall.faces()->deg, 180));
    CHECK(wall.building == ItemId{7});
    const Footing parapet = footingOf(walls, MountKind::parapet, {10, -1}, 3);
    CHECK(planeDistance(parapet.at, {10, kBehindEdgeM}) < kFine);
    const Footing roof = footingOf(walls, MountKind::roof, {10, -1}, 3);
    CHECK(planeDistance(roof.at, {10, kInsideRoofM}) < kFine);
    CHECK_FALSE(roof.faces());
    CHECK(footingOf(walls, MountKind::roof, {10, 10}, 3).at == PlanePoint{10, 10});
    CHECK(planeDistance(footingOf(walls, MountKind::roof, {10, 0.1}, 3).at, {10, kInsideRoofM}) < kFine);
    const Footing far = footingOf(walls, MountKind::wall, {10, -9}, 3);
    CHECK_FALSE(far.wall);
    CHECK(far.at == PlanePoint{10, -9});
}

TEST_CASE("a new mount takes its kind from what it stands on") {
    const WallIndex walls = indexOf({house(7, square(0, 0, 20))});
    CHECK(footingAt(walls, {10, -1}, 3, false).kind == MountKind::wall);
    CHECK(footingAt(walls, {10, 1}, 3, true).kind == MountKind::parapet);
    CHECK(footingAt(walls, {10, 10}, 3, false).kind == MountKind::roof);
    const Footing pole = footingAt(walls, {10, -8}, 3, true);
    CHECK(pole.kind == MountKind::pole);
    CHECK(pole.at == PlanePoint{10, -8});
    CHECK_FALSE(pole.building);
}

TEST_CASE("nearest walls agree with a look at every wall of a crowded town") {
    std::vector<Building> town;
    std::uint64_t state = 42;
    const auto next = [&] {
        state = state * 6364136223846793005u + 1442695040888963407u;
        return static_cast<double>(state >> 40) / static_cast<double>(1u << 24);
    };
    for (std::uint32_t k = 0; k < 400; ++k) {
        // One to a lot, so that no wall is shared.
        const double x = (k % 20) * 30 + next() * 8, y = (k / 20) * 30 + next() * 8;
        town.push_back(
            house(k + 1, {{x, y}, {x + 5 + next() * 10, y + next()}, {x + 12, y + 15}, {x, y + 12}}));
    }
    const WallIndex walls = indexOf(town);
    for (int n = 0; n < 2000; ++n) {
        const PlanePoint p{next() * 620 - 10, next() * 620 - 10};
        double best = 1e9;
        for (const Building& b : town)
            best = std::min(best, nearestOnBoundary(asKept(b).footprint, p).distanceM);
        const auto s = walls.snap(p, 6);
        CHECK(s.has_value() == (best <= 6));
        if (s && !s->corner) CHECK(s->distanceM == Approx(best).margin(kFine));
        if (s) CHECK_FALSE(walls.buildingAt(s->outBy(0.01)));
    }
}

TEST_CASE("an index of fifty thousand buildings is there at once") {
    std::vector<Building> town;
    for (std::uint32_t k = 0; k < 50000; ++k)
        town.push_back(house(k + 1, square((k % 250) * 20.0, (k / 250) * 20.0, 12)));
    Scenery scenery;
    scenery.putBuildings(std::move(town));
    const auto from = std::chrono::steady_clock::now();
    const WallIndex walls(scenery);
    const auto spent = std::chrono::steady_clock::now() - from;
    CHECK(walls.snap({2506, 1999}, 3));
    // Some 10 ms in an optimised build; the limit leaves room for sanitizers and a busy machine.
    CHECK(std::chrono::duration<double>(spent).count() < 2.0);
}
