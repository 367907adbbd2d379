// SPDX-License-Identifier: GPL-3.0-or-later
// One file a trap, and what its preview has to say of it.
#include "intake/intake_bench.h"

#include <GeographicLib/UTMUPS.hpp>

#include <cmath>
#include <fmt/format.h>

using namespace fw;
using namespace fw::testing;
using Weight = IntakeRemark::Weight;
using Catch::Matchers::Contains;

namespace {

// The same place by another library: GeographicLib, UTMUPS::Forward (Krueger series, Karney 2011).
PlanePoint utm(double lat, double lon) {
    int zone = 0;
    bool north = false;
    PlanePoint p;
    GeographicLib::UTMUPS::Forward(lat, lon, zone, north, p.x, p.y, 27);
    return p;
}

bool near(PlanePoint a, PlanePoint b, double m) { return std::hypot(a.x - b.x, a.y - b.y) <= m; }

std::string utf16(std::string_view ascii, bool bigEndian, bool mark) {
    std::string out;
    const auto put = [&](unsigned char low, unsigned char high = 0) {
        out += static_cast<char>(bigEndian ? high : low);
        out += static_cast<char>(bigEndian ? low : high);
    };
    if (mark) put(0xff, 0xfe);
    for (const char c : ascii) put(static_cast<unsigned char>(c));
    return out;
}

std::string footprint(double lat, double lon, double sideDeg = 0.0002) {
    return fmt::format("POLYGON (({0} {1},{2} {1},{2} {3},{0} {3},{0} {1}))", lon, lat, lon + sideDeg,
                       lat + sideDeg);
}

} // namespace

TEST_CASE("mounts come in whatever the order, the signs and the bytes of their table") {
    const IntakeBench bench;
    const PlanePoint at = utm(36.9312, -20.4187);
    struct Trap {
        const char* name;
        std::string bytes;
    };
    const std::string plain = "name,kind,latitude,longitude,height_m\nW-1,wall,36.9312,-20.4187,7.5\n";
    const std::vector<Trap> traps{
        {"plain.csv", plain},
        {"order.csv", "height_m,longitude,name,latitude,kind\n7.5,-20.4187,W-1,36.9312,wall\n"},
        {"semicolons.csv", "name;kind;latitude;longitude;height_m\nW-1;wall;36,9312;-20,4187;7,5\n"},
        {"tabs.txt", "name\tkind\tlatitude\tlongitude\theight_m\nW-1\twall\t36.9312\t-20.4187\t7.5\n"},
        {"mark.csv", "\xef\xbb\xbf" + plain},
        {"utf16le.csv", utf16(plain, false, true)},
        {"utf16be.csv", utf16(plain, true, true)},
        {"utf16 without a mark.csv", utf16(plain, false, false)},
        {"feet.csv", "name,kind,latitude,longitude,height (ft)\nW-1,wall,36.9312,-20.4187,24.6063\n"},
        {"dms.csv", "name,kind,latitude,longitude,height_m\nW-1,wall,36\xc2\xb0"
                    "55'52.32\"N,20\xc2\xb0"
                    "25'07.32\"W,7.5 m\n"},
        {"preamble.csv", "Candidates of Port Merrow\nexported 2026-10-05 08:00\n\n" + plain},
        {"crlf.csv", "name,kind,latitude,longitude,height_m\r\nW-1,wall,36.9312,-20.4187,7.5\r\n"},
        {"headers.csv", "Candidate ID,Type,Lat,Lng,Height AGL [m]\nW-1,wall,36.9312,-20.4187,7.5\n"},
    };
    for (const Trap& trap : traps) {
        const IntakePreview p = bench.preview(trap.name, trap.bytes, IntakeKind::mounts);
        INFO(trap.name << ": " << remarksOf(p));
        REQUIRE(p.good == 1);
        CHECK(p.refused == 0);
        CHECK(p.usable());
        const auto mounts = putsOf<Mount>(p.edit);
        REQUIRE(mounts.size() == 1);
        CHECK(mounts[0].name == "W-1");
        CHECK(mounts[0].kind == MountKind::wall);
        CHECK(mounts[0].height.m == Approx(7.5).margin(1e-4));
        // Places are kept to 2^-20 m; the two libraries agree far below a millimetre inside a zone.
        CHECK(near(mounts[0].at, at, 1e-3));
    }
}

TEST_CASE("names keep their letters in Latin-1 and in UTF-8") {
    const IntakeBench bench;
    // 0xe6 is ae in ISO 8859-1 and in Windows-1252.
    const auto latin = bench.preview("latin.csv", "name,latitude,longitude\n\xc6r\xf8 kaj,36.9312,-20.4187\n",
                                     IntakeKind::mounts);
    const auto utf8 =
        bench.preview("utf8.csv", "name,latitude,longitude\nÆrø kaj,36.9312,-20.4187\n", IntakeKind::mounts);
    REQUIRE(putsOf<Mount>(latin.edit).size() == 1);
    CHECK(putsOf<Mount>(latin.edit)[0].name == "Ærø kaj");
    CHECK(putsOf<Mount>(utf8.edit) == putsOf<Mount>(latin.edit));
}

TEST_CASE("of a hundred rows ninety-five come in, five are listed with row, column, value and reason") {
    const IntakeBench bench;
    std::string table = "name,latitude,longitude,height_m\n";
    for (int k = 1; k <= 100; ++k) {
        const double lat = 36.92 + k * 1e-4;
        if (k == 10)
            table += fmt::format("M-{},{:.6f},-20.42,12,5x\n", k, lat);
        else if (k == 20)
            table += fmt::format("M-{},{:.6f},-20.42,NaNa\n", k, lat);
        else if (k == 30)
            table += fmt::format("M-{},{:.6f},-20.42,9000\n", k, lat);
        else if (k == 40)
            table += fmt::format("M-{},,-20.42,7\n", k);
        else if (k == 50)
            table += "M-49,36.93,-20.42,7\n";
        else
            table += fmt::format("M-{},{:.6f},-20.42,7\n", k, lat);
    }
    // Row 10 has a field too many; its height reads 12.
    table.replace(table.find("12,5x"), 5, "\"12,5x\"");
    const auto p = bench.preview("hundred.csv", table, IntakeKind::mounts);
    INFO(remarksOf(p));
    CHECK(p.rows == 100);
    CHECK(p.good == 95);
    CHECK(p.refused == 5);
    CHECK(p.duplicates == 1);
    REQUIRE(p.refusals.size() == 5);
    CHECK(p.refusals[0].row == 11); // the header is line 1
    CHECK(p.refusals[0].column == "height_m");
    CHECK(p.refusals[0].value == "12,5x");
    CHECK(p.refusals[2].row == 31);
    CHECK_THAT(p.refusals[2].reason, Contains("500"));
    CHECK_THAT(p.refusals[3].reason, Contains("place"));
    CHECK_THAT(p.refusals[4].reason, Contains("row 50"));
    CHECK(p.usable());

    // One step that undo takes back to the very plan it was.
    Plan plan = bench.plan;
    const auto inverse = apply(plan, p.edit);
    REQUIRE(inverse);
    CHECK(plan.mounts.size() == 95);
    REQUIRE(apply(plan, *inverse));
    CHECK(plan == bench.plan);

    // The refused rows as a file: mended there, they come in.
    std::string csv = refusedAsCsv(p);
    CHECK_THAT(csv, Contains("row,reason,name,latitude,longitude,height_m"));
    CHECK(std::count(csv.begin(), csv.end(), '\n') == 6);
    csv.replace(csv.find("\"12,5x\"", csv.find("M-10")), 7, "12.5");
    const auto again = bench.preview("mended.csv", csv, IntakeKind::mounts);
    INFO(remarksOf(again));
    CHECK(again.good == 2); // row 10, and M-49, which is no longer there twice
}

TEST_CASE("taking the same file in twice changes nothing the second time") {
    IntakeBench bench;
    const auto mounts = bench.write("m.csv", "name,latitude,longitude\nA,36.93,-20.42\nB,36.931,-20.42\n");
    const auto houses = bench.write("b.csv", "wkt,height\n\"" + footprint(36.93, -20.42) + "\",9\n");
    for (const auto& [file, kind] :
         {std::pair{mounts, IntakeKind::mounts}, {houses, IntakeKind::buildings}}) {
        const auto first = bench.preview(file, kind);
        INFO(remarksOf(first));
        REQUIRE(first.usable());
        REQUIRE(apply(bench.plan, first.edit));
        const auto second = bench.preview(file, kind);
        INFO(remarksOf(second));
        CHECK(second.edit.changes.empty());
        CHECK((second.good == 0 || says(second, Weight::note, "already")));
    }
}

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

TEST_CASE("empty files, files without rows and files without a place say so") {
    const IntakeBench bench;
    const auto bare = bench.preview("bare.csv", "name,latitude,longitude\n", IntakeKind::mounts);
    CHECK(bare.rows == 0);
    CHECK_FALSE(bare.usable());
    CHECK(says(bare, Weight::look, "no rows"));
    const auto nowhere = bench.preview("nowhere.csv", "name,height_m\nA,7\n", IntakeKind::mounts);
    CHECK_FALSE(nowhere.usable());
    CHECK(says(nowhere, Weight::question, "No column gives a place"));
    const auto empty = previewIntake(bench.plan, bench.write("empty.csv", ""), {});
    if (empty)
        CHECK_FALSE(empty->usable());
    else
        CHECK(empty.error().sentence().size() > 20);
}

TEST_CASE("a stopped preview gives nothing and says that it was stopped") {
    const IntakeBench bench;
    std::string table = "name,latitude,longitude\n";
    for (int k = 0; k < 5000; ++k) table += fmt::format("M{},36.93,{:.5f}\n", k, -20.42 + k * 1e-6);
    const auto file = bench.write("long.csv", table);
    std::stop_source stop;
    stop.request_stop();
    IntakeRequest request;
    request.kind = IntakeKind::mounts;
    const auto p = previewIntake(bench.plan, file, request, {stop.get_token(), {}});
    REQUIRE_FALSE(p);
    CHECK(p.error().code == ErrorCode::cancelled);
}

TEST_CASE("a plan without a work area gets one from the first rows, in the same step") {
    IntakeBench bench;
    PlanSettings settings = *bench.plan.settings;
    settings.workArea = {};
    bench.plan.settings = std::make_shared<const PlanSettings>(settings);
    const auto p = bench.preview("m.csv", "name,latitude,longitude\nA,36.93,-20.42\nB,36.94,-20.41\n",
                                 IntakeKind::mounts);
    REQUIRE(p.usable());
    CHECK(says(p, Weight::note, "work area"));
    REQUIRE(apply(bench.plan, p.edit));
    for (const Mount& m : bench.plan.mounts) CHECK(bench.plan.settings->workArea.contains(m.at));
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
