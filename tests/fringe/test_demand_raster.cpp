// SPDX-License-Identifier: GPL-3.0-or-later
// Demand and land cover from rasters: what a cell of the raster holds must come out of the receivers inside
// it.
#include "catch.h"
#include "fringe/receivers.h"

#include <array>
#include <cmath>
#include <map>

using namespace fw;

namespace {

constexpr TileKey kTile{2, 3};

Building house(std::uint32_t id, double x, double y, double width, int storeys) {
    Building b;
    b.id = ItemId{id};
    b.footprint.outer = {{x, y}, {x + width, y}, {x + width, y + 10}, {x, y + 10}};
    b.storeys = storeys;
    b.heightM = 3 * storeys;
    return b;
}

// Three buildings: two in one raster cell of 128 m (one twice the floor of the other), one alone in the next.
struct Town {
    Plan plan;
    std::vector<Building> buildings;
    std::shared_ptr<Terrain> terrain = std::make_shared<Terrain>();
    Town() {
        terrain->flatM = 5;
        const Box box = kTile.bounds();
        buildings = {house(1, box.x0 + 20, box.y0 + 20, 10, 2), house(2, box.x0 + 60, box.y0 + 60, 20, 2),
                     house(3, box.x0 + 160, box.y0 + 20, 10, 1)};
        PlanSettings s;
        s.workArea = box;
        plan.settings = std::make_shared<const PlanSettings>(s);
    }
    std::shared_ptr<const TileReceivers> receivers() const {
        std::vector<Prism> prisms;
        for (const Building& b : buildings) prisms.push_back({b.id, b.footprint, b.heightM, b.parapetM});
        const Surface surface = SurfaceBuilder::build(kTile.bounds(), 2, terrain, prisms, {}, 1);
        return makeReceivers(kTile, surface, demandSources(plan, *terrain), buildings, plan.settings->model);
    }
    void set(const PlanSettings& s) { plan.settings = std::make_shared<const PlanSettings>(s); }
};

struct Sum {
    double indoor = 0, outdoor = 0;
};
// By raster cell; buildings by where they stand in this town, not by where their receivers are.
std::map<std::pair<int, int>, Sum> sums(const Town& town, const TileReceivers& r, double cellM) {
    std::map<std::pair<int, int>, Sum> out;
    const Box box = kTile.bounds();
    for (std::size_t i = 0; i < kTileArea; ++i) {
        const PlanePoint p = r.placeOf(i);
        out[{static_cast<int>((p.x - box.x0) / cellM), static_cast<int>((p.y - box.y0) / cellM)}].outdoor +=
            r.weight[i];
    }
    for (const IndoorReceiver& i : r.indoor)
        for (const Building& b : town.buildings)
            if (b.id == i.building) {
                const PlanePoint p = b.footprint.outer[0];
                out[{static_cast<int>((p.x - box.x0) / cellM), static_cast<int>((p.y - box.y0) / cellM)}]
                    .indoor += i.weight;
            }
    return out;
}

} // namespace

TEST_CASE("What a cell of a demand raster holds is shared out inside it, indoors by floor area") {
    Town town;
    const Box box = kTile.bounds();
    DemandGrid g(box.x0, box.y0, 128, 4, 4, 0.0F);
    g.at(0, 0) = 2; // two buildings
    g.at(1, 0) = 1; // one building
    g.at(2, 2) = 3; // open ground alone
    town.terrain->demand = std::make_shared<const DemandGrid>(g);
    const auto r = town.receivers();
    auto by = sums(town, *r, 128);
    const double unit = 128.0 * 128 * 256; // a density of 1 in a cell, in steps of weight
    const double rounding = 1024;          // one step a pixel
    CHECK(std::fabs(by[{0, 0}].indoor - 2 * 0.8 * unit) < rounding);
    CHECK(std::fabs(by[{0, 0}].outdoor - 2 * 0.2 * unit) < rounding);
    CHECK(std::fabs(by[{1, 0}].indoor - 0.8 * unit) < rounding);
    CHECK(std::fabs(by[{1, 0}].outdoor - 0.2 * unit) < rounding);
    CHECK(std::fabs(by[{2, 2}].outdoor - 3 * unit) <
          rounding); // nothing is lost where there are no buildings
    CHECK(by[{3, 3}].outdoor == 0);
    std::map<std::uint32_t, double> building;
    for (const IndoorReceiver& i : r->indoor) building[i.building.v] += i.weight;
    CHECK(building[2] == Approx(2 * building[1]).epsilon(1e-5)); // 400 m2 of floor against 200
}

TEST_CASE("A congestion area multiplies what the raster holds") {
    Town town;
    const Box box = kTile.bounds();
    town.terrain->demand = std::make_shared<const DemandGrid>(box.x0, box.y0, 128, 4, 4, 1.0F);
    const auto plain = sums(town, *town.receivers(), 128);
    CongestionArea area;
    area.id = ItemId{9};
    area.demandFactor = 1.5;
    area.area.outer = {
        {box.x0, box.y0}, {box.x0 + 128, box.y0}, {box.x0 + 128, box.y0 + 128}, {box.x0, box.y0 + 128}};
    town.plan.congestionAreas.put(area);
    const auto with = sums(town, *town.receivers(), 128);
    CHECK(with.at({0, 0}).indoor == Approx(1.5 * plain.at({0, 0}).indoor).epsilon(1e-4));
    CHECK(with.at({0, 0}).outdoor == Approx(1.5 * plain.at({0, 0}).outdoor).epsilon(1e-3));
    CHECK(with.at({1, 0}).indoor == plain.at({1, 0}).indoor);
}

TEST_CASE("A land-cover class with a weight takes the place of street and yard; the others do not") {
    Town town;
    const auto plain = town.receivers();
    const Box box = kTile.bounds();
    ClassGrid g(box.x0, box.y0, 64, 8, 8, 50);
    g.at(7, 7) = 80;
    g.at(6, 7) = 30;
    town.terrain->landCover = std::make_shared<const ClassGrid>(g);
    const auto unweighed = town.receivers();
    CHECK(unweighed->weight == plain->weight);
    CHECK(unweighed->digest == plain->digest);

    PlanSettings s = *town.plan.settings;
    s.landCoverWeights = "30=2; 80=0";
    town.set(s);
    const auto r = town.receivers();
    CHECK(r->digest != plain->digest);
    for (std::size_t i = 0; i < kTileArea; ++i) {
        const PlanePoint p = r->placeOf(i);
        const int col = static_cast<int>((p.x - box.x0) / 64), row = static_cast<int>((p.y - box.y0) / 64);
        const double want = row == 7 && col == 7 ? 0 : row == 7 && col == 6 ? 16 * 2 * 256 : plain->weight[i];
        if (r->weight[i] != want) FAIL("pixel " << i << ": " << r->weight[i] << " instead of " << want);
    }
}

TEST_CASE("Receivers change with the raster under them, and with no other part of it") {
    Town town;
    const Box box = kTile.bounds();
    DemandGrid g(box.x0 - 512, box.y0, 64, 16, 8, 1.0F);
    town.terrain->demand = std::make_shared<const DemandGrid>(g);
    const auto first = town.receivers();
    g.at(0, 0) = 7; // in the neighbouring tile
    town.terrain->demand = std::make_shared<const DemandGrid>(g);
    CHECK(town.receivers()->digest == first->digest);
    g.at(9, 0) = 7;
    town.terrain->demand = std::make_shared<const DemandGrid>(g);
    CHECK(town.receivers()->digest != first->digest);
}
