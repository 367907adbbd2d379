// SPDX-License-Identifier: GPL-3.0-or-later
// Paths of macro cells to single places against the serving map they are asked beside.
#include "catch.h"
#include "study/hand_plan.h"
#include "study/state.h"
#include "support/random_plan.h"

using namespace fw;
using namespace fw::testing;

namespace {
std::shared_ptr<const Study> studyOfHouses(std::uint64_t seed) {
    Random random(seed);
    RandomPlanSpec spec;
    spec.buildings = 150;
    spec.mounts = 2;
    return studyOf(randomPlan(random, spec));
}
} // namespace

TEST_CASE("a path to open ground has the level, the bearing and the distance of the serving map") {
    const auto study = studyOfHouses(21);
    Random random(21);
    const Box area = study->plan().settings->workArea;
    int looked = 0;
    for (int k = 0; k < 3000; ++k) {
        const PlanePoint p{random.between(area.x0, area.x1), random.between(area.y0, area.y1)};
        const auto served = study->macroAt(0, p);
        if (!served) continue;
        ++looked;
        const auto path = study->macroPathTo(served->cell, p);
        REQUIRE(path);
        CHECK(path->levelDbm == served->levelDbm);
        const PlanePoint site = study->plan().macroSites.find(study->macroCell(served->cell)->site)->at;
        const double d = planeDistance(site, p);
        CHECK(path->distanceM == Approx(d));
        // Both ends stand at the centres of their 4 m pixels: at most 2.9 m off each.
        const double worstDeg = std::atan2(5.7, std::max(6.0, d)) * 180 / M_PI + 0.1;
        const double bearing = std::atan2(p.x - site.x, p.y - site.y) * 180 / M_PI;
        CHECK(std::fabs(wrap180(path->azimuth.deg - bearing)) <= (d > 6 ? worstDeg : 180));
        CHECK(study->macroPatternLossDb(served->cell,
                                        path->azimuth.deg - study->macroAzimuth(served->cell).deg,
                                        path->elevationDeg) == Approx(path->patternLossDb).margin(1e-9));
    }
    CHECK(looked > 1000);
}

TEST_CASE("a path into a building is that of the storey and facade the map is made of") {
    const auto study = studyOfHouses(22);
    const Baseline& b = *study->core().base;
    int looked = 0;
    for (const TilePart& t : b.tiles) {
        const auto& indoor = t.receivers->indoor;
        for (std::size_t k = 0; k < indoor.size(); ++k) {
            const LayerLevels& l = t.levels->layers[0];
            if (l.empty() || !l.strongest[0][kTileArea + k]) continue;
            const ServingKey key = l.strongest[0][kTileArea + k];
            const IndoorReceiver& r = indoor[k];
            const PlanePoint middle = centroidOf(study->plan().scenery.building(r.building)->footprint);
            const PlanePoint in =
                r.at + (middle - r.at) * (2 / planeDistance(middle, r.at)); // 1 m behind the wall
            if (study->surface().prismAt(in) < 0) continue;
            if (study->surface().prisms()[static_cast<std::size_t>(study->surface().prismAt(in))].id !=
                r.building)
                continue; // a neighbour leans on it
            const auto path = study->macroPathInto(b.cells[rosterOf(key)].id, in, r.aboveGroundM);
            REQUIRE(path);
            CHECK(path->levelDbm == Approx(levelOf(key) / 100.0).margin(1e-9)); // 15 kHz: no correction
            CHECK(path->entry == r.entry);
            ++looked;
        }
    }
    CHECK(looked > 500);
    CHECK_FALSE(study->macroPathInto(b.cells[0].id,
                                     study->plan().settings->workArea.centre() + PlanePoint{5e4, 0}, 1.5));
}
