// SPDX-License-Identifier: GPL-3.0-or-later
// Footprints, and units that look wrong: one trap a file, and what its preview has to say of it.
#include "intake/intake_bench.h"
#include "intake/map_places.h"

#include <fmt/format.h>

using namespace fw;
using namespace fw::testing;
using Weight = IntakeRemark::Weight;

TEST_CASE("footprints: heights from storeys and defaults are counted and said") {
    const IntakeBench bench;
    std::string table = "height_m,building:levels,wkt\n";
    table += "12.5,4,\"" + footprint(36.930, -20.42) + "\"\n";
    table += ",3,\"" + footprint(36.931, -20.42) + "\"\n";
    table += ",,\"" + footprint(36.932, -20.42) + "\"\n";
    const auto p = bench.preview("heights.csv", table, IntakeKind::buildings);
    INFO(remarksOf(p));
    const auto made = putsOf<Building>(p.edit);
    REQUIRE(made.size() == 3);
    CHECK(made[0].heightM == 12.5);
    CHECK(made[1].heightM == Approx(3 * 3.2));
    CHECK(made[1].storeys == 3);
    CHECK(made[2].heightM == 6);
    CHECK(says(p, Weight::note, "1 heights are storeys times 3.2 m"));
    CHECK(says(p, Weight::look, "neither height nor storeys"));
}

// Key "building:levels" of OpenStreetMap: a storey under the roof may be written as a part (its wiki, page
// of that key; from memory).
TEST_CASE("footprints: a part of a storey counts to the height as written, and to demand as a whole one") {
    const IntakeBench bench;
    std::string table = "height_m,building:levels,wkt\n";
    table += ",2.5,\"" + footprint(36.930, -20.42) + "\"\n";
    table += "11,3.5,\"" + footprint(36.931, -20.42) + "\"\n";
    table += ",2,\"" + footprint(36.932, -20.42) + "\"\n";
    table += ",-1.5,\"" + footprint(36.933, -20.42) + "\"\n";
    const auto p = bench.preview("attics.csv", table, IntakeKind::buildings);
    INFO(remarksOf(p));
    const auto made = putsOf<Building>(p.edit);
    REQUIRE(made.size() == 3);
    CHECK(made[0].heightM == Approx(2.5 * 3.2));
    CHECK(made[0].storeys == 3);
    CHECK(made[1].heightM == 11);
    CHECK(made[1].storeys == 4);
    CHECK(made[2].storeys == 2);
    CHECK(p.refused == 1);
    CHECK(says(p, Weight::note, "2 buildings have a part of a storey"));
}

TEST_CASE("footprints: a crossing outline is made valid, a sliver and a row without an area are said") {
    const IntakeBench bench;
    std::string table = "height_m,wkt\n";
    // A bow tie of two triangles.
    table += "9,\"POLYGON ((-20.4200 36.9300,-20.4190 36.9310,-20.4190 36.9300,-20.4200 36.9310,-20.4200 "
             "36.9300))\"\n";
    table += "9,\"POLYGON ((-20.4300 36.9300,-20.4290 36.9300,-20.4280 36.9300,-20.4300 36.9300))\"\n";
    table += "9,\"POINT (-20.43 36.93)\"\n";
    table += "9,no geometry\n";
    const auto p = bench.preview("crossing.csv", table, IntakeKind::buildings);
    INFO(remarksOf(p));
    CHECK(p.good == 1);
    CHECK(p.refused == 3);
    CHECK(putsOf<Building>(p.edit).size() == 2);
    CHECK(says(p, Weight::note, "crossed themselves"));
    Plan plan = bench.plan;
    REQUIRE(apply(plan, p.edit));
}

TEST_CASE("footprints: uses in the words of a map count, and words that tell none leave no building out") {
    const IntakeBench bench;
    std::string table = "building,height,wkt\n";
    int k = 0;
    for (const char* use :
         {"apartments", "retail", "Residential", "office", "school", "warehouse", "yes", "roof"})
        table += fmt::format("{},9,\"{}\"\n", use, footprint(36.93 + k++ * 3e-4, -20.42));
    const auto p = bench.preview("uses.csv", table, IntakeKind::buildings);
    INFO(remarksOf(p));
    REQUIRE(p.good == 8);
    const auto made = putsOf<Building>(p.edit);
    using U = BuildingUse;
    const std::vector<U> uses{U::residential, U::commercial, U::residential, U::office,
                              U::public_,     U::industrial, U::residential, U::residential};
    for (std::size_t n = 0; n < uses.size(); ++n) CHECK(made[n].use == uses[n]);
    CHECK(says(p, Weight::note,
               "2 rows have a use that tells nothing here (\"yes\"); they count as residential"));
}

TEST_CASE("outlines as text part no columns, whatever parts them") {
    const IntakeBench bench;
    for (const char part : {';', ',', '\t'}) {
        std::string table = fmt::format("height{0}storeys{0}wkt\n", part);
        for (int k = 0; k < 5; ++k)
            table += fmt::format("{1}{0}2{0}\"{2}\"\n", part, 6 + k, footprint(36.93 + k * 3e-4, -20.42));
        const auto p = bench.preview(fmt::format("parted by {}.csv", static_cast<int>(part)), table,
                                     IntakeKind::buildings);
        INFO(remarksOf(p));
        CHECK(p.good == 5);
        CHECK(p.head.columns.size() == 3);
    }
}

TEST_CASE("heights that look like feet, and azimuths that look like radians, are asked about") {
    const IntakeBench bench;
    std::string houses = "height,storeys,wkt\n", cells = "cell,site,lat,lon,azimuth,earfcn\n";
    for (int k = 0; k < 8; ++k) {
        const double lat = 36.93 + k * 3e-4;
        houses += fmt::format("{},{},\"{}\"\n", (2 + k % 3) * 10.5, 2 + k % 3, footprint(lat, -20.42));
        cells += fmt::format("C{0},S,36.93,-20.42,{1:.3f},1300\n", k, 0.4 + k * 0.7);
    }
    const auto house = bench.write("houses.csv", houses), cell = bench.write("cells.csv", cells);
    const auto feet = bench.preview(house, IntakeKind::buildings),
               turn = bench.preview(cell, IntakeKind::cells);
    INFO(remarksOf(feet) << remarksOf(turn));
    CHECK(says(feet, Weight::question, "feet"));
    CHECK(says(turn, Weight::question, "radians"));
    CHECK_FALSE(feet.usable());
    CHECK_FALSE(turn.usable());
    IntakeRequest request;
    request.kind = IntakeKind::buildings;
    request.map["height_m"].unit = "ft";
    const auto metres = bench.preview(house, request);
    REQUIRE(metres.usable());
    // 21 ft; the foot is 0.3048 m exactly (NIST SP 811, B.8); the plan keeps millimetres.
    CHECK(putsOf<Building>(metres.edit)[0].heightM == Approx(21 * 0.3048).margin(1e-3));
    request = {};
    request.kind = IntakeKind::cells;
    request.map["azimuth_deg"].unit = "rad";
    const auto degreesGiven = bench.preview(cell, request);
    INFO(remarksOf(degreesGiven));
    REQUIRE(degreesGiven.usable());
    CHECK(putsOf<Sector>(degreesGiven.edit)[0].azimuth.deg ==
          Approx(0.4 * 180 / 3.14159265358979).margin(1e-6));
}
