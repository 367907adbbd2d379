// SPDX-License-Identifier: GPL-3.0-or-later
// A line of units under the header, and words for technologies. The tables are made by hand.
#include "catch.h"
#include "intake/intake_bench.h"
#include "intake/technology_words.h"

using namespace fw;
using namespace fw::testing;
using Weight = IntakeRemark::Weight;

TEST_CASE("a line of units under the header is no row, and its units hold as those of a header do") {
    IntakeBench bench;
    const char* table = "cell;site;lat;lon;azimuth;height;tilt;earfcn;tx power\n"
                        ";;deg;deg;[deg];ft;(deg);;W\n"
                        "A1;A;36.93;-20.42;10;100;4;1300;40\n"
                        "B1;B;36.935;-20.42;250;50;4;3000;20\n";
    const auto p = bench.preview("cells.csv", table, IntakeKind::cells);
    INFO(remarksOf(p));
    CHECK(p.rows == 2);
    REQUIRE(p.good == 2);
    // One foot is 0.3048 m exactly (NIST SP 811, B.8); 40 W are 46.02 dBm by definition of the decibel.
    CHECK(putsOf<Sector>(p.edit).at(0).height.m == Approx(30.48));
    REQUIRE(putsOf<Cell>(p.edit).at(0).totalPowerDbm);
    CHECK(*putsOf<Cell>(p.edit).at(0).totalPowerDbm == Approx(46.0206).margin(1e-4));
    bool told = false;
    for (const std::string& note : p.head.notes) told |= note == "Row 2 holds the units of the columns.";
    CHECK(told);
    CHECK(p.head.columns.at(5).unit == "ft");
    CHECK(p.head.columns.at(5).samples.front() == "100");

    // What the user says of a unit goes first.
    IntakeRequest said;
    said.kind = IntakeKind::cells;
    said.map["height_m"] = {"", "m"};
    CHECK(putsOf<Sector>(bench.preview(bench.path("cells.csv"), said).edit).at(0).height.m == 100);
}

TEST_CASE("levels, shares and words of types count as a line of units") {
    IntakeBench bench;
    const auto drive =
        bench.preview("drive.csv",
                      "Latitude,Longitude,RSRP,PCI,Time\ndegrees,degrees,dBm,number,date\n"
                      "36.9312,-20.4187,-93.5,17,2026-05-04\n36.9313,-20.4188,-94,17,2026-05-04\n",
                      IntakeKind::measurements);
    INFO(remarksOf(drive));
    CHECK(drive.good == 2);
    CHECK(drive.measured.at(0).rsrpDbm == -93.5);
}

TEST_CASE("rows that only look like units stay rows") {
    IntakeBench bench;
    const auto rowsOf = [&](const char* name, const char* text) {
        return bench.preview(name, text, IntakeKind::trees).rows;
    };
    // A direction, over directions.
    CHECK(rowsOf("west.csv", "lat,lon,side\n36.93,-20.42,W\n36.931,-20.42,E\n") == 2);
    CHECK(rowsOf("words.csv", "side,kind\nW,m\nE,x\nN,x\n") == 3);
    // Units, but not alone: a name stands beside them.
    CHECK(rowsOf("mixed.csv", "name,lat,lon,height\noak,deg,deg,m\nelm,36.93,-20.42,7\n") == 2);
    // Nothing below.
    CHECK(rowsOf("bare.csv", "lat,lon,height\ndeg,deg,m\n") == 1);
    // Not directly under the header.
    const auto later =
        bench.preview("later.csv", "lat,lon,height\n36.93,-20.42,7\ndeg,deg,m\n", IntakeKind::trees);
    CHECK(later.rows == 2);
    CHECK(later.refused == 1);
}

TEST_CASE("technologies are read by what people write for them, where that means one") {
    for (const char* lte :
         {"LTE", "lte", "LTE-A", "LTE800", "4G", "4g LTE", "E-UTRA", "TD-LTE", "FDD LTE", "L"}) {
        INFO(lte);
        REQUIRE(technologyFrom(lte));
        CHECK(*technologyFrom(lte) == Technology::lte);
    }
    for (const char* nr : {"NR", "nr", "5G", "5G NR", "5GNR", "5G SA", "NR FR1", "FR2", "sub6", "Sub-6 GHz",
                           "sub 6", "mmWave", "mw", "MW", "NR3500"}) {
        INFO(nr);
        REQUIRE(technologyFrom(nr));
        CHECK(*technologyFrom(nr) == Technology::nr);
    }
    for (const char* none : {"", "GSM", "UMTS", "3G", "2G", "WiFi", "macro", "4G/5G", "LTE+NR", "EN-DC"}) {
        INFO(none);
        CHECK_FALSE(technologyFrom(none));
    }
}

TEST_CASE("a column of technologies takes these words, and refuses a row that names two") {
    IntakeBench bench;
    const auto p = bench.preview("cells.csv",
                                 "cell,lat,lon,azimuth,height,tilt,channel,technology\n"
                                 "A1,36.93,-20.42,10,30,4,1300,4G\n"
                                 "A2,36.93,-20.42,10,30,4,634000,sub6\n"
                                 "A3,36.93,-20.42,10,30,4,2054167,mw\n"
                                 "A4,36.93,-20.42,10,30,4,1300,4G/5G\n",
                                 IntakeKind::cells);
    INFO(remarksOf(p));
    CHECK(p.good == 3);
    CHECK(p.refused == 1);
    const auto cells = putsOf<Cell>(p.edit);
    REQUIRE(cells.size() == 3);
    CHECK(cells[0].carrier.technology == Technology::lte);
    CHECK(cells[1].carrier.technology == Technology::nr);
    CHECK(cells[2].carrier.technology == Technology::nr);
    CHECK(p.refusals.at(0).reason == "names both LTE and NR");
}
