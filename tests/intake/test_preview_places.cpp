// SPDX-License-Identifier: GPL-3.0-or-later
// Where rows lie: one trap a file, and what its preview has to say of it.
#include "intake/intake_bench.h"
#include "intake/map_places.h"

#include <fmt/format.h>

using namespace fw;
using namespace fw::testing;
using Weight = IntakeRemark::Weight;
using Catch::Matchers::Contains;

TEST_CASE("swapped latitude and longitude are asked about, never taken") {
    const IntakeBench bench;
    const auto file = bench.write("swapped.csv", "name,latitude,longitude\nA,-20.4187,36.9312\n"
                                                 "B,-20.4180,36.9318\nC,-20.4190,36.9300\n");
    const auto p = bench.preview(file, IntakeKind::mounts);
    INFO(remarksOf(p));
    CHECK(p.good == 0);
    CHECK_FALSE(p.usable());
    CHECK(says(p, Weight::question, "swapped"));
    IntakeRequest request;
    request.kind = IntakeKind::mounts;
    choose(request, p.remarks[0].choices.at(0));
    const auto said = bench.preview(file, request);
    INFO(remarksOf(said));
    REQUIRE(said.good == 3);
    CHECK(near(putsOf<Mount>(said.edit)[0].at, utm(kLat, kLon), 1e-3));
}

TEST_CASE("rows far from the plan and at 0, 0 are refused with how far") {
    const IntakeBench bench;
    const auto p = bench.preview("far.csv", "name,latitude,longitude\nA,36.93,-20.42\nB,48.9,2.3\nC,0,0\n",
                                 IntakeKind::mounts);
    INFO(remarksOf(p));
    CHECK(p.good == 1);
    REQUIRE(p.refusals.size() == 2);
    CHECK_THAT(p.refusals[0].reason, Contains("km from the plan") || Contains("no place in the plan"));
    CHECK_THAT(p.refusals[1].reason, Contains("0, 0"));
    CHECK(p.usable());
}

TEST_CASE("a route of fibre comes as text too, with a point at each corner") {
    const IntakeBench bench;
    const auto p = bench.preview(
        "routes.csv", "name,wkt\nDuct 3,\"LINESTRING (-20.4187 36.9312,-20.418 36.9318,-20.417 36.932)\"\n",
        IntakeKind::fibre);
    INFO(remarksOf(p));
    const auto points = putsOf<FibrePoint>(p.edit);
    REQUIRE(points.size() == 3);
    CHECK(near(points[0].at, utm(36.9312, -20.4187), 1e-3));
    CHECK(near(points[2].at, utm(36.932, -20.417), 1e-3));
    CHECK(templateOf(IntakeKind::fibre).find("wkt") == std::string::npos);
}

TEST_CASE("plane coordinates need a system, and the one that fits is offered") {
    const IntakeBench bench;
    const PlanePoint at = utm(kLat, kLon);
    const auto file = bench.write("plane.csv", fmt::format("name,east,north\nA,{:.3f},{:.3f}\n", at.x, at.y));
    const auto p = bench.preview(file, IntakeKind::mounts);
    INFO(remarksOf(p));
    CHECK_FALSE(p.usable());
    CHECK(says(p, Weight::question, "reference system"));
    REQUIRE(p.remarks[0].choices.size() == 1);
    CHECK(p.remarks[0].choices[0].epsg == kEpsg);
    IntakeRequest request;
    request.kind = IntakeKind::mounts;
    choose(request, p.remarks[0].choices[0]);
    const auto said = bench.preview(file, request);
    REQUIRE(said.good == 1);
    CHECK(near(putsOf<Mount>(said.edit)[0].at, at, 1e-3));
}

TEST_CASE("columns x and y are plane coordinates of a system that is asked for, degrees or not") {
    const IntakeBench bench;
    const PlanePoint at = utm(kLat, kLon);
    const auto plane =
        bench.preview("xy.csv", fmt::format("name;x;y\nA;{:.0f};{:.0f}\n", at.x, at.y), IntakeKind::mounts);
    const auto degrees =
        bench.preview("xy degrees.csv", "name,x,y\nA,-20.4187,36.9312\n", IntakeKind::mounts);
    INFO(remarksOf(plane) << remarksOf(degrees));
    REQUIRE(says(plane, Weight::question, "fit the plan's own"));
    REQUIRE(says(degrees, Weight::question, "look like degrees"));
    IntakeRequest request;
    request.kind = IntakeKind::mounts;
    choose(request, degrees.remarks[0].choices.at(0));
    const auto said = bench.preview(bench.path("xy degrees.csv"), request);
    REQUIRE(said.good == 1);
    CHECK(near(putsOf<Mount>(said.edit)[0].at, at, 1e-3));
}
