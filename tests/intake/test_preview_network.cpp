// SPDX-License-Identifier: GPL-3.0-or-later
// Cells, counters and histograms: one trap a file, and what its preview has to say of it.
#include "intake/intake_bench.h"

#include <fmt/format.h>

using namespace fw;
using namespace fw::testing;
using Weight = IntakeRemark::Weight;

TEST_CASE("cells make their sites and sectors; carriers of one direction share a sector") {
    IntakeBench bench;
    // ECI 230401 is cell 1 of eNB 900 (TS 36.413, 9.2.1.38); an NCI may have 36 bits (TS 38.413, 9.3.1.7).
    const char* table = "cell,site,lat,lon,azimuth,height,tilt,earfcn,pci,tx power (W),RSI,TAC,ECI\n"
                        "A1,A,36.93,-20.42,10,30,4,1300,1,40,837,65535,230401\n"
                        "A2,A,36.93,-20.42,10,30,4,3000,1,20,,,\n"
                        "A3,A,36.93,-20.42,130,30,4,1300,2,40,0,,\n"
                        "B1,B,36.935,-20.42,250,0,4,634000,3,,,70000,68719476735\n"
                        "A4,A,36.93,-20.42,130,30,4,1300,2,40,,70000,\n"
                        "A5,A,36.93,-20.42,130,30,4,1300,2,40,838,,\n"
                        "A6,A,36.93,-20.42,130,30,4,1300,2,40,,,268435456\n";
    const auto p = bench.preview("cells.csv", table, IntakeKind::cells);
    INFO(remarksOf(p));
    REQUIRE(p.good == 4);
    CHECK(putsOf<MacroSite>(p.edit).size() == 2);
    CHECK(putsOf<Sector>(p.edit).size() == 3);
    const auto cells = putsOf<Cell>(p.edit);
    REQUIRE(cells.size() == 4);
    CHECK(cells[0].sector == cells[1].sector);
    CHECK(cells[0].sector != cells[2].sector);
    // 40 W = 46.02 dBm by definition of the decibel.
    REQUIRE(cells[0].totalPowerDbm);
    CHECK(*cells[0].totalPowerDbm == Approx(46.0206).margin(1e-4));
    // 634000 is a channel of band n78 (TS 38.104, table 5.4.2.3-1), which is time division.
    CHECK(cells[3].carrier.technology == Technology::nr);
    CHECK(cells[3].carrier.duplex == Duplex::tdd);
    CHECK(cells[0].identity == CellIdentity{837, 65535, 230401});
    CHECK(cells[1].identity == CellIdentity{});
    CHECK(cells[3].identity == CellIdentity{{}, 70000, 68719476735});
    REQUIRE(p.refusals.size() == 3);
    CHECK(p.refusals[0].reason.find("0 to 65535") != std::string::npos);
    CHECK(p.refusals[1].reason.find("0 to 837") != std::string::npos);
    CHECK(p.refusals[2].reason.find("0 to 268435455") != std::string::npos);
    CHECK(says(p, Weight::look, "one figure"));
    CHECK(says(p, Weight::look, "no antenna height"));
    CHECK(says(p, Weight::look, "no power"));
    REQUIRE(apply(bench.plan, p.edit));
    // Another export: one tilt differs, everything else stays.
    const auto later = bench.preview("later.csv", "cell,electrical tilt\nA1,7\n", IntakeKind::cells);
    INFO(remarksOf(later));
    REQUIRE(later.good == 1);
    const auto sectors = putsOf<Sector>(later.edit);
    REQUIRE(sectors.size() == 1);
    CHECK(sectors[0].electricalTiltDeg == 7);
    CHECK(sectors[0].azimuth.deg == 10);
    CHECK(putsOf<Cell>(later.edit).empty());
}

namespace {

/// Two sectors of one site: a full carrier beside an empty one, and a single one.
Plan withCells(const IntakeBench& bench) {
    Plan plan = bench.plan;
    const auto p = bench.preview("cells of the site.csv",
                                 "cell,site,lat,lon,azimuth,height,electrical tilt,earfcn,pci,total power\n"
                                 "A-full,A,36.93,-20.42,10,30,4,1300,1,46\n"
                                 "A-empty,A,36.93,-20.42,10,30,4,3000,1,46\n"
                                 "A-other,A,36.93,-20.42,130,30,4,1300,2,46\n",
                                 IntakeKind::cells);
    REQUIRE(apply(plan, p.edit));
    return plan;
}

} // namespace

TEST_CASE("cells without a subcarrier spacing get the one that their bandwidth has") {
    const IntakeBench bench;
    // 100 MHz is there with 30 kHz and not with 15 kHz, 50 MHz with both (TS 38.104, table 5.3.2-1).
    const auto p =
        bench.preview("wide.csv",
                      "cell,site,lat,lon,azimuth,height,arfcn,bandwidth,total power\n"
                      "N1,N,36.93,-20.42,10,30,634000,100,49\nN2,N,36.93,-20.42,130,30,634000,50,49\n"
                      "N3,N,36.93,-20.42,250,30,634000,7,49\n",
                      IntakeKind::cells);
    INFO(remarksOf(p));
    const auto cells = putsOf<Cell>(p.edit);
    REQUIRE(cells.size() == 3);
    CHECK(cells[0].carrier.scsKHz == 30);
    CHECK(cells[1].carrier.scsKHz == 15);
    CHECK(says(p, Weight::look, "1 cells have no subcarrier spacing; their bandwidth asks for 30 kHz"));
    CHECK(says(p, Weight::look, "1 cells have a bandwidth that does not exist"));
}

TEST_CASE("counters of a week give loads, say what is full, and which carrier has room beside it") {
    IntakeBench bench;
    bench.plan = withCells(bench);
    // Seven days from Monday 2026-10-05; one busy hour a day at 18:00, by the figures below.
    std::string table = "Hourly counters\n\ncell;date;hour;DL PRB use (%);users;user throughput (Mbit/s)\n";
    for (int day = 0; day < 7; ++day)
        for (int hour = 0; hour < 24; ++hour) {
            const double full = hour == 18 ? 80 + day : 20, room = hour == 18 ? 30 : 10;
            table += fmt::format("A-full;{:02}.10.2026;{};{:.0f},5;12;{}\n", 5 + day, hour, full,
                                 hour == 18 ? "2,4" : "9,1");
            table += fmt::format("A-empty;{:02}.10.2026;{};{:.0f};3;15\n", 5 + day, hour, room);
        }
    table += "A-nowhere;05.10.2026;18;55;1;1\n";
    const auto p = bench.preview("counters.csv", table, IntakeKind::counters);
    INFO(remarksOf(p));
    CHECK(p.rows == 7 * 24 * 2 + 1);
    CHECK(p.refused == 1);
    CHECK(p.unknownCells == std::vector<std::string>{"A-nowhere"});
    const auto cells = putsOf<Cell>(p.edit);
    REQUIRE(cells.size() == 2);
    const Cell& full = cells[0].name == "A-full" ? cells[0] : cells[1];
    // Mean of 80.5, 81.5, ..., 86.5 %.
    REQUIRE(full.load.dlPrbUse);
    CHECK(*full.load.dlPrbUse == Approx(0.835));
    CHECK(full.load.hour == 18);
    CHECK(full.load.dailyDlPrbUse.size() == 7);
    REQUIRE(full.load.userThroughputMbps);
    CHECK(*full.load.userThroughputMbps == Approx(2.4));
    CHECK(full.load.date == "2026-10-11");
    CHECK(says(p, Weight::note, "1 cells are over the trigger: A-full"));
    CHECK(says(p, Weight::look, "A-empty"));
    CHECK(p.usable());
}

TEST_CASE("shares over 1 without a word of per cent are asked about") {
    IntakeBench bench;
    bench.plan = withCells(bench);
    std::string table = "cell,time,dl prb use\n";
    for (int hour = 0; hour < 24; ++hour)
        table += fmt::format("A-full,2026-10-05 {:02}:00,{}\n", hour, 20 + hour);
    const auto file = bench.write("shares.csv", table);
    const auto p = bench.preview(file, IntakeKind::counters);
    INFO(remarksOf(p));
    CHECK_FALSE(p.usable());
    REQUIRE(says(p, Weight::question, "per cent"));
    IntakeRequest request;
    request.kind = IntakeKind::counters;
    choose(request, p.remarks[0].choices.at(0));
    const auto said = bench.preview(file, request);
    INFO(remarksOf(said));
    REQUIRE(putsOf<Cell>(said.edit).size() == 1);
    CHECK(*putsOf<Cell>(said.edit)[0].load.dlPrbUse == Approx(0.43));
}

TEST_CASE("histograms come in both forms, and leave the rest of the load alone") {
    IntakeBench bench;
    bench.plan = withCells(bench);
    const auto wide = bench.preview("ta.csv", "cell,TA 0,TA 1,TA 2\nA-full,10,20,5\nA-empty,1,,2\n",
                                    IntakeKind::timingAdvance);
    const auto longer =
        bench.preview("ta long.csv", "cell,step,samples\nA-full,0,10\nA-full,1,20\nA-full,2,5\n",
                      IntakeKind::timingAdvance);
    const auto cqi = bench.preview("cqi.csv", "cell,cqi7,cqi15\nA-full,4,6\n", IntakeKind::cqi);
    INFO(remarksOf(wide) << remarksOf(longer) << remarksOf(cqi));
    REQUIRE(putsOf<Cell>(wide.edit).size() == 2);
    REQUIRE(putsOf<Cell>(longer.edit).size() == 1);
    CHECK(putsOf<Cell>(longer.edit)[0].load.timingAdvance == std::vector<double>{10, 20, 5});
    REQUIRE(putsOf<Cell>(cqi.edit).size() == 1);
    CHECK(putsOf<Cell>(cqi.edit)[0].load.cqi.at(15) == 6);
    bool found = false;
    for (const Cell& c : putsOf<Cell>(wide.edit))
        if (c.name == "A-full") {
            found = true;
            CHECK(c.load.timingAdvance == std::vector<double>{10, 20, 5});
        }
    CHECK(found);
}
