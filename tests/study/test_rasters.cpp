// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "study/hand_plan.h"
#include "study/raster_town.h"
#include "study/rasters.h"
#include "support/random_plan.h"

#include <set>

using namespace fw;
using namespace fw::testing;

TEST_CASE("serving rasters say what macroAt says at the pixels' centres", "[study][rasters]") {
    const auto study = townStudy(5);
    for (int layer = -1; layer < static_cast<int>(study->layers().size()); ++layer) {
        const auto rasters = servingRasters(*study, layer);
        REQUIRE(!rasters.empty());
        std::size_t served = 0, wrong = 0;
        for (const ServingRaster& r : rasters)
            for (std::size_t i = 0; i < r.server.size(); i += 7) {
                const PlanePoint p = centreOf(r.key, i);
                const auto s = layer < 0 ? study->macroAt(p) : study->macroAt(layer, p);
                if (s.has_value() != (r.server[i] != kNoCell)) {
                    ++wrong;
                } else if (s) {
                    ++served;
                    // A level is whole hundredths: half of one is rounding of the division alone.
                    wrong += study->macroCells()[r.server[i]].id != s->cell ||
                             std::abs(s->levelDbm * 100 - r.levelCenti[i]) > 0.5;
                } else {
                    wrong += r.levelCenti[i] != kNothingHeard;
                }
            }
        INFO("layer " << layer);
        CHECK(served > 1000);
        CHECK(wrong == 0);
    }
}

TEST_CASE("the cost of all pixels is the movable use of the cells", "[study][rasters]") {
    const auto study = townStudy(5);
    const Baseline& b = *study->core().base;
    double every = 0;
    for (int layer = 0; layer < static_cast<int>(study->layers().size()); ++layer) {
        double want = 0, got = 0;
        for (std::size_t n = 0; n < b.cells.size(); ++n)
            if (b.cells[n].layer == layer)
                want += static_cast<double>(b.runtime[n].movable - b.unspread[n]) / kPrbUnit * 100 /
                        b.cells[n].resourceBlocks;
        for (const CostRaster& r : costRasters(*study, layer))
            for (const float p : r.pointsPerHa) got += p * 0.0016;
        CHECK(want > 1);
        CHECK(got == Approx(want).epsilon(1e-4));
        every += got;
    }
    double together = 0;
    for (const CostRaster& r : costRasters(*study, -1))
        for (std::size_t i = 0; i < r.pointsPerHa.size(); ++i) {
            together += r.pointsPerHa[i] * 0.0016;
            CHECK_FALSE((r.pointsPerHa[i] > 0 && r.cell[i] == kNoCell));
        }
    CHECK(together == Approx(every).epsilon(1e-4));
}

TEST_CASE("users of a building lie evenly on its footprint", "[study][rasters]") {
    testing::HandPlan hand;
    hand.macro(testing::place(-200, 0), 90, 0.6);
    hand.building(testing::place(40, 0), 24, 3); // six pixels by six, on pixel borders
    hand.set.model.outdoorDensity = 0;           // nobody else
    const auto study = *testing::compute(hand.done());
    std::set<float> densities, demands;
    int covered = 0;
    for (const CostRaster& r : costRasters(*study, 0))
        for (std::size_t i = 0; i < r.pointsPerHa.size(); ++i) {
            if (r.pointsPerHa[i] <= 0) continue;
            ++covered;
            const PlanePoint d = centreOf(r.key, i) - testing::place(40, 0);
            CHECK(std::max(std::abs(d.x), std::abs(d.y)) < 12);
            densities.insert(r.pointsPerHa[i]);
            demands.insert(r.demand[i]);
            CHECK(study->macroCells()[r.cell[i]].id == study->macroCells()[0].id);
        }
    CHECK(covered == 36);
    REQUIRE(densities.size() == 1);
    // 60 points less the fixed 5 over 24 m by 24 m.
    CHECK(*densities.begin() == Approx(55 / 0.0576).epsilon(1e-4));
    REQUIRE(demands.size() == 1);
    CHECK(*demands.begin() == Approx(3).epsilon(1e-3)); // three storeys
}

TEST_CASE("fringe blocks are those that hold the densest half of a congested cell", "[study][rasters]") {
    const auto study = townStudy(3);
    const Baseline& b = *study->core().base;
    std::size_t marked = 0;
    for (int layer = 0; layer < static_cast<int>(study->layers().size()); ++layer) {
        const auto rasters = costRasters(*study, layer);
        for (std::size_t t = 0; t < rasters.size(); ++t) {
            const TilePart& part = b.tiles[t];
            const auto k = static_cast<std::size_t>(layer);
            std::vector<std::set<std::uint16_t>> want(256);
            for (std::size_t i = 0; i < part.cost->density[k].size(); ++i) {
                if (part.cost->layers[k][i] <= 0) continue;
                const auto m = rosterOf(part.levels->layers[k].strongest[0][i]);
                if (b.cells[m].congested && part.cost->density[k][i] >= b.fringeFrom[m])
                    want[blockOf(*part.receivers, i)].insert(m);
            }
            for (std::size_t at = 0; at < want.size(); ++at) {
                const std::uint16_t got = rasters[t].fringe[at];
                CHECK((got == kNoCell ? want[at].empty() : want[at].contains(got)));
                marked += got != kNoCell;
            }
        }
    }
    CHECK(marked > 3);
}

TEST_CASE("a footprint says what smallAt says, in a drag too", "[study][rasters]") {
    const auto study = townStudy(5);
    SmallFootprint f;
    Random random(1);
    for (const SmallCellPart& s : study->smallCells()) {
        Hypothesis h;
        h.mount = *study->plan().mounts.find(s.mount);
        h.radio = *study->plan().radios.find(s.radio);
        h.mount->at = h.mount->at + PlanePoint{random.between(-9, 9), random.between(-9, 9)};
        h.radio->azimuth = TrueAzimuth::of(h.radio->azimuth.deg + 77);
        const auto over = study->overlay(h);
        for (const Study* each : {study.get(), over.get()}) {
            REQUIRE(footprintOf(*each, s.id, f));
            CHECK(f.small == s.id);
            std::size_t heard = 0, wrong = 0;
            const auto& g = f.levelCenti;
            for (int y = 0; y < g.height; ++y)
                for (int x = 0; x < g.width; ++x) {
                    const PlanePoint p = g.centre(x, y);
                    const int level = g.at(x, y);
                    const auto want = each->smallAt(s.id, p);
                    const auto macro = s.layer >= 0 ? each->macroAt(s.layer, p) : each->macroAt(p);
                    const std::size_t i = g.index(x, y);
                    wrong += want ? std::abs(*want * 100 - level) > 0.5 : level != kNothingHeard;
                    const bool leads = want && (!macro || *want > macro->levelDbm);
                    wrong += leads != f.leads(i);
                    if (want && macro)
                        wrong += std::abs((*want - macro->levelDbm) * 100 - f.leadCenti[i]) > 0.5;
                    heard += want.has_value();
                    if (!want) wrong += f.captured[i] != 0;
                }
            CHECK(heard > 500);
            CHECK(wrong == 0);
        }
    }
    CHECK_FALSE(footprintOf(*study, ItemId{}, f));
    CHECK(f.captured.empty());
}

TEST_CASE("a small cell relieves where, and only where, its footprint takes users that cost something",
          "[study][rasters]") {
    struct Case {
        Carrier carrier;
        double powerDbm;
        bool takes;
    };
    for (const Case& c : {Case{{}, 37, true}, Case{testing::bandForty(), 37, true}, Case{{}, -60, false}}) {
        testing::HandPlan hand;
        hand.macro(testing::place(-200, 0), 90, 0.8);
        const ItemId small = hand.small(testing::place(120, 0), 90, c.carrier, c.powerDbm);
        const auto study = *testing::compute(hand.done());
        SmallFootprint f;
        REQUIRE(footprintOf(*study, small, f));
        double taken = 0;
        const auto& g = f.levelCenti;
        for (const CostRaster& r : costRasters(*study, -1))
            for (std::size_t i = 0; i < r.pointsPerHa.size(); ++i) {
                const PlanePoint p = centreOf(r.key, i);
                if (g.inside(g.colOf(p.x), g.rowOf(p.y)))
                    taken += f.share(g.index(g.colOf(p.x), g.rowOf(p.y))) * r.pointsPerHa[i] * 0.0016;
            }
        for (std::size_t i = 0; i < f.captured.size(); ++i) CHECK((f.share(i) >= 0 && f.share(i) <= 1));
        const double relief = study->reliefPoints(small);
        INFO("taken " << taken << " relief " << relief);
        if (!c.takes) {
            CHECK(relief == 0);
            CHECK(taken == 0);
            continue;
        }
        // Users that are taken hear the macro worse than the mean there, so that each costs it more.
        CHECK(relief > 1);
        CHECK(relief > 0.98 * taken);
        CHECK(relief < 1.5 * taken);
    }
}

TEST_CASE("a stronger bias takes a larger share everywhere", "[study][rasters]") {
    testing::HandPlan hand;
    hand.macro(testing::place(-200, 0), 90, 0.8);
    const ItemId small = hand.small(testing::place(120, 0), 90);
    const auto study = *testing::compute(hand.done());
    Hypothesis h;
    h.smallCell = *study->plan().smallCells.find(small);
    h.smallCell->biasDb = 6;
    SmallFootprint a, b;
    REQUIRE(footprintOf(*study, small, a));
    REQUIRE(footprintOf(*study->overlay(h), small, b));
    std::size_t more = 0, less = 0;
    for (std::size_t i = 0; i < a.captured.size(); ++i) {
        more += b.captured[i] > a.captured[i];
        less += b.captured[i] < a.captured[i];
    }
    CHECK(more > 200);
    CHECK(less == 0);
}

TEST_CASE("small cells leave the ground's digest alone, loads change it", "[study][rasters]") {
    testing::HandPlan hand;
    const ItemId cell = hand.macro(testing::place(-200, 0), 90, 0.8);
    const ItemId small = hand.small(testing::place(120, 0), 90);
    const Plan before = hand.done();
    const auto study = *testing::compute(before);
    Plan moved = before;
    Mount m = *moved.mounts.find(study->smallCell(small)->mount);
    m.at = m.at + PlanePoint{10, 3};
    moved.mounts.put(m);
    CHECK(groundDigest(**testing::compute(moved, 1, study)) == groundDigest(*study));
    Plan loaded = before;
    Cell c = *loaded.cells.find(cell);
    c.load.dlPrbUse = 0.5;
    loaded.cells.put(c);
    CHECK_FALSE(groundDigest(**testing::compute(loaded, 1, study)) == groundDigest(*study));
}

TEST_CASE("rasters of a layer that is not there, or stopped, are empty", "[study][rasters]") {
    testing::HandPlan hand;
    hand.macro(testing::place(-200, 0), 90, 0.8);
    const auto study = *testing::compute(hand.done());
    CHECK(servingRasters(*study, 7).empty());
    CHECK(costRasters(*study, 7).empty());
    std::stop_source stop;
    stop.request_stop();
    CHECK(servingRasters(*study, 0, Job{stop.get_token(), {}}).empty());
    CHECK(costRasters(*study, 0, Job{stop.get_token(), {}}).empty());
}
