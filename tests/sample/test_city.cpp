// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"

#include "city.h"
#include "plan/validate.h"

#include <algorithm>

using namespace fw;

namespace {

town::CitySpec smallCity() {
    town::CitySpec spec;
    spec.sideM = 2000;
    spec.buildings = 1500;
    spec.sites = 4;
    spec.mounts = 40;
    spec.chosen = 8;
    return spec;
}

bool congested(const Cell& c) {
    const auto days = std::count_if(c.load.dailyDlPrbUse.begin(), c.load.dailyDlPrbUse.end(),
                                    [](double v) { return v > 0.70; });
    return days >= 5 && c.load.userThroughputMbps.value_or(99) < 3;
}

} // namespace

TEST_CASE("The made-up city holds what its spec asks for", "[city]") {
    const Plan p = town::makeCity(smallCity());
    CHECK(p.scenery.buildingCount() == 1500);
    CHECK(p.macroSites.size() == 4);
    CHECK(p.sectors.size() == 12);
    CHECK(p.cells.size() == 24);
    CHECK(p.mounts.size() == 40);
    CHECK(p.smallCells.size() == 8);
    CHECK(validateReferences(p).empty());
    CHECK(p == town::makeCity(smallCity()));
    town::CitySpec other = smallCity();
    other.seed = 2;
    CHECK_FALSE(p == town::makeCity(other));
}

TEST_CASE("The bench city has 50,000 buildings, 300 sectors, 1,000 mounts and full cells", "[city][slow]") {
    const Plan p = town::makeCity();
    CHECK(p.scenery.buildingCount() == 50000);
    CHECK(p.sectors.size() == 300);
    CHECK(p.cells.size() == 600);
    CHECK(p.mounts.size() == 1000);
    CHECK(p.smallCells.size() == 200);
    CHECK(std::count_if(p.cells.begin(), p.cells.end(), congested) >= 5);
    CHECK(validateReferences(p).empty());
}
