// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "intake/sector_balance.h"

using namespace fw;

namespace {

struct Town {
    Plan plan;
    ItemId site, sector;
    std::uint32_t last = 0;

    Town() {
        site = {++last};
        sector = {++last};
        plan.macroSites.put({site, "PM01", {0, 0}});
        Sector s;
        s.id = sector;
        s.site = site;
        s.name = "Sector 2";
        plan.sectors.put(s);
    }
    ItemId cell(const char* name, int channel, double mhz, std::optional<double> use, double share = 1) {
        Cell c;
        c.id = {++last};
        c.sector = sector;
        c.name = name;
        c.carrier.channel = channel;
        c.carrier.bandwidthMHz = mhz;
        c.carrier.downlinkShare = share;
        c.load.dlPrbUse = use;
        plan.cells.put(c);
        return c.id;
    }
};

} // namespace

TEST_CASE("a full carrier beside an empty one is said with figures", "[balance]") {
    // EARFCN 1300 lies in band 3, 2850 in band 7 (TS 36.101, table 5.7.3-1).
    // 82 % of 20 MHz and 31 % of 20 MHz: (16.4 + 6.2) / 40 = 56.5 %.
    Town town;
    const ItemId full = town.cell("PM01-2", 1300, 20, 0.82);
    const ItemId room = town.cell("PM01-2b", 2850, 20, 0.31);
    const auto found = unbalancedSectors(town.plan);
    REQUIRE(found.size() == 1);
    CHECK(found[0].sector == town.sector);
    CHECK(found[0].full.at(0).cell == full);
    CHECK(found[0].room.at(0).cell == room);
    CHECK(found[0].evenUse == Approx(0.565).margin(1e-12));
    CHECK(found[0].enough);
    CHECK(found[0].sentence ==
          "PM01, Sector 2: PM01-2 (B3, 20 MHz) is at 82 %, and beside it PM01-2b (B7, 20 MHz) is at 31 %: "
          "balance carriers first; spread evenly they would be at 56 %.");
    CHECK(found[0].working.steps.back().value == Approx(56.5).margin(1e-9));
    CHECK(found[0].working.inputs.size() == 4);
}

TEST_CASE("carriers weigh by bandwidth and downlink time", "[balance]") {
    // 90 % of 20 MHz and 20 % of a 10 MHz carrier with three quarters of the time: (18 + 1.5) / 27.5 = 70.9
    // %.
    Town town;
    town.cell("a", 1300, 20, 0.9);
    town.cell("b", 38000, 10, 0.2, 0.75);
    const auto found = unbalancedSectors(town.plan);
    REQUIRE(found.size() == 1);
    CHECK(found[0].evenUse == Approx(19.5 / 27.5).margin(1e-12));
    CHECK_FALSE(found[0].enough);
    CHECK(found[0].sentence.find("still above the target of 60 %") != std::string::npos);
}

TEST_CASE("sectors with nothing to balance are left out", "[balance]") {
    Town town;
    town.cell("a", 1300, 20, 0.82);
    SECTION("a single carrier") {}
    SECTION("the other one is full too") { town.cell("b", 2850, 20, 0.75); }
    SECTION("the other one is between target and trigger") { town.cell("b", 2850, 20, 0.60); }
    SECTION("the other one was not measured") { town.cell("b", 2850, 20, std::nullopt); }
    CHECK(unbalancedSectors(town.plan).empty());
    Town idle;
    idle.cell("a", 1300, 20, 0.699);
    idle.cell("b", 2850, 20, 0.1);
    CHECK(unbalancedSectors(idle.plan).empty());
}
