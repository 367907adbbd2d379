// SPDX-License-Identifier: GPL-3.0-or-later
// Skylines made by hand, so that every figure of a mark can be worked out.
#include "delivery/sight_marks.h"

#include "catch.h"

#include <cmath>
#include <map>

using namespace fw;

namespace {

PlanePoint polar(double azimuthDeg, double m) {
    return {m * std::sin(radians(azimuthDeg)), m * std::cos(radians(azimuthDeg))};
}

struct Scene {
    Skyline sky;
    std::map<std::uint32_t, SightSolid> solids;

    Scene() {
        for (auto& b : sky.bearing) {
            b.elevationDeg = -3;
            b.distanceM = 300;
        }
    }
    // A wall from one bearing clockwise to another, all at one distance from the antenna's foot.
    void wall(std::uint32_t id, double from, double to, double m, double elevation,
              const std::string& name = {}) {
        for (double a = from; a <= to; a += 0.5) {
            auto& b = sky.bearing[static_cast<std::size_t>(std::lround(wrap360(a) * 2)) % Skyline::kBearings];
            b.elevationDeg = static_cast<float>(elevation);
            b.distanceM = static_cast<float>(m);
            b.cause = {id};
            b.solid = {id};
            b.solidM = static_cast<float>(m);
        }
        if (!name.empty())
            solids[id] = {
                {{polar(from, m), polar(to, m), polar(to, m + 10), polar(from, m + 10)}, {}}, 12, 4, name};
    }
    [[nodiscard]] std::vector<SightMark> marks(double azimuth, ItemId own = {},
                                               double convergence = 0) const {
        return sightMarks(sky, {{0, 0}, GridAzimuth::of(azimuth), convergence, 1, own}, solid());
    }
    [[nodiscard]] std::function<std::optional<SightSolid>(ItemId)> solid() const {
        return [this](ItemId id) -> std::optional<SightSolid> {
            const auto it = solids.find(id.v);
            return it == solids.end() ? std::nullopt : std::optional(it->second);
        };
    }
};

} // namespace

TEST_CASE("the two ends of a building across north, seen along 0 and along 357 deg") {
    Scene s;
    s.wall(5, -9, 12, 100, 6, "Harbour Mill");
    auto marks = s.marks(0);
    REQUIRE(marks.size() == 2);
    CHECK(marks[0].text == "9 deg left of boresight: left corner of Harbour Mill, 100 m, elevation +6 deg");
    CHECK(marks[1].text ==
          "12 deg right of boresight: right corner of Harbour Mill, 100 m, elevation +6 deg");
    CHECK(marks[0].number == 1);
    CHECK(marks[0].azimuthTrueDeg == Approx(351));
    // Turned by -3 deg: the offsets grow and shrink by three.
    marks = s.marks(357);
    REQUIRE(marks.size() == 2);
    CHECK(marks[0].offsetDeg == Approx(-6).margin(1e-6));
    CHECK(marks[1].offsetDeg == Approx(15).margin(1e-6));
}

TEST_CASE("azimuths of marks are true: grid plus convergence; offsets are the same on both") {
    Scene s;
    s.wall(5, 80, 95, 60, 8, "Customs House");
    const auto marks = s.marks(85, {}, 1.5);
    REQUIRE(marks.size() == 2);
    CHECK(marks[0].azimuthTrueDeg == Approx(81.5));
    CHECK(marks[0].offsetDeg == Approx(-5).margin(1e-6));
}

TEST_CASE("trees, the own building, near, far and faint edges are no marks") {
    Scene s;
    s.wall(1, -5, 5, 100, 9);                  // no building of that id: a crown
    s.wall(2, 20, 30, 15, 20, "too near");     // 15 m
    s.wall(3, 40, 45, 450, 5, "too far");      // 450 m
    s.wall(4, -40, -30, 100, -2, "too faint"); // one degree over what follows
    s.wall(6, -25, -15, 50, 12, "own");
    CHECK(s.marks(0, {6}).empty());
    // What is now somebody else's is a mark: one a side, the end nearer to 25 deg off.
    REQUIRE(s.marks(0).size() == 1);
    CHECK(s.marks(0)[0].what == "left corner of own");
}

TEST_CASE("where a high building ends over a low one the edge is the high one's") {
    Scene s;
    s.wall(8, -4, 30, 60, 4, "Shed"); // starts behind the tower's foot
    s.wall(7, -20, 2, 120, 10, "Tower");
    const auto marks = s.marks(0);
    REQUIRE(marks.size() == 3);
    CHECK(marks[0].what == "left corner of Tower");
    CHECK(marks[1].what == "right corner of Tower");
    CHECK(marks[1].offsetDeg == Approx(2).margin(1e-6));
    CHECK(marks[1].distanceM == Approx(120));
    CHECK(marks[2].what == "right corner of Shed");
}

TEST_CASE("what the boresight meets") {
    Scene s;
    s.wall(5, -9, 12, 112, 6, "Harbour Mill");
    s.wall(6, 100, 110, 30, 6); // a crown
    const auto text = [&](double azimuth) {
        return boresightText(s.sky, {{0, 0}, GridAzimuth::of(azimuth), 0, 1, {}}, s.solid());
    };
    CHECK(text(0) == "Along the boresight, level with the antenna: Harbour Mill, after 112 m.");
    CHECK(text(105) == "Along the boresight, level with the antenna: a tree, after 30 m.");
    CHECK(text(200) == "Along the boresight, level with the antenna: nothing for at least 400 m.");
}

TEST_CASE("a building without a name is told by its size") {
    CHECK(describe({{}, 28, 9, ""}) == "tall block, 9 storeys");
    CHECK(describe({{}, 12, 4, ""}) == "block, 4 storeys");
    CHECK(describe({{}, 4, 1, ""}) == "low building");
    CHECK(describe({{}, 4, 1, "Boat shed"}) == "Boat shed");
}
