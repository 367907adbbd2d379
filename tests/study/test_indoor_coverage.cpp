// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "study/hand_plan.h"
#include "study/indoor_coverage.h"
#include "study/load_twin.h"
#include "support/random_plan.h"

#include <algorithm>
#include <cmath>
#include <map>

using namespace fw;

namespace {

// One sample: storey by height, strongest level before and after, both less their shadowing.
struct Sample {
    double aboveGroundM = 0, before = -1e9, after = -1e9;
};

// Levels of all indoor samples by building, from the twin's own arithmetic.
std::map<ItemId, std::map<std::size_t, Sample>> samplesOf(const Study& study, double z) {
    const ModelSettings& m = study.plan().settings->model;
    std::map<ItemId, std::map<std::size_t, Sample>> out;
    for (const testing::TwinReceiver& x : testing::twinReceivers(study.core())) {
        if (!x.indoor) continue;
        const IndoorReceiver& r = study.core().base->tiles[x.tile].receivers->indoor[x.index - kTileArea];
        Sample& s = out[r.building][x.index];
        s.aboveGroundM = r.aboveGroundM;
        s.before = std::max(s.before, x.macroDbm - z * m.macroSigmaDb);
        s.after = std::max(s.after, s.before);
        for (const testing::TwinSmall& small : x.smalls)
            s.after = std::max(s.after, small.dbm - z * m.smallSigmaDb);
    }
    return out;
}

bool onStorey(double h, const std::vector<double>& storeys, Storey want) { // ascending
    switch (want) {
    case Storey::all:
        return true;
    case Storey::lowest:
        return h == storeys.front();
    case Storey::top:
        return h == storeys.back();
    case Storey::middle:
        return storeys.size() == 3 && h == storeys[1];
    }
    return false;
}

} // namespace

TEST_CASE("indoor coverage is what a count over the facades' samples gives", "[study][indoor]") {
    Random random(5);
    Plan plan = testing::randomPlan(random, {});
    PlanSettings set = *plan.settings;
    set.model.servedFromDbm = -160; // the twin knows places that somebody serves
    plan.settings = std::make_shared<const PlanSettings>(set);
    const auto study = *testing::compute(plan);
    struct Case {
        double locations, z; // quantile of the normal distribution: Abramowitz and Stegun, table 26.6
        double fromDbm;
    };
    int gained = 0, part = 0;
    for (const Case& c : {Case{0.5, 0, -95}, Case{0.9, 1.281551565545, -95}, Case{0.9, 1.281551565545, -105}})
        for (const Storey storey : {Storey::all, Storey::lowest, Storey::middle, Storey::top}) {
            const auto got = indoorCoverage(*study, {storey, -1, c.locations, c.fromDbm});
            const auto want = samplesOf(*study, c.z);
            REQUIRE(got.buildings.size() == want.size());
            std::size_t wrong = 0, n = 0;
            for (const auto& [id, samples] : want) {
                const BuildingCoverage& b = got.buildings[n++];
                CHECK(b.building == id);
                std::vector<double> storeys;
                for (const auto& [at, s] : samples) storeys.push_back(s.aboveGroundM);
                std::sort(storeys.begin(), storeys.end());
                storeys.erase(std::unique(storeys.begin(), storeys.end()), storeys.end());
                int all = 0, least[2] = {0, 0}, most[2] = {0, 0};
                for (const auto& [at, s] : samples) {
                    if (!onStorey(s.aboveGroundM, storeys, storey)) continue;
                    ++all;
                    // The study compares whole hundredths of a decibel.
                    least[0] += s.before >= c.fromDbm + 0.006;
                    most[0] += s.before >= c.fromDbm - 0.006;
                    least[1] += s.after >= c.fromDbm + 0.006;
                    most[1] += s.after >= c.fromDbm - 0.006;
                }
                wrong += b.samples != all || b.before < least[0] || b.before > most[0] ||
                         b.after < least[1] || b.after > most[1];
                gained += b.after > b.before;
                part += b.before > 0 && b.before < b.samples;
            }
            CHECK(wrong == 0);
        }
    CHECK(gained > 50);
    CHECK(part > 50);
}

TEST_CASE("storeys of low buildings: one is lowest and top, two have no middle", "[study][indoor]") {
    testing::HandPlan hand;
    hand.macro(testing::place(-200, 0), 90, 0.6);
    const ItemId one = hand.building(testing::place(-60, 0), 24, 1),
                 two = hand.building(testing::place(0, 0), 24, 2),
                 five = hand.building(testing::place(60, 0), 24, 5);
    const auto study = *testing::compute(hand.done());
    const auto samples = [&](Storey storey, ItemId id) {
        for (const BuildingCoverage& b : indoorCoverage(*study, {storey}).buildings)
            if (b.building == id) return b.samples;
        return -1;
    };
    // A square has four facades of one stretch each.
    for (const Storey s : {Storey::lowest, Storey::top, Storey::all}) CHECK(samples(s, one) == 4);
    CHECK(samples(Storey::middle, one) == 0);
    CHECK(samples(Storey::middle, two) == 0);
    CHECK(samples(Storey::all, two) == 8);
    CHECK(samples(Storey::middle, five) == 4);
    CHECK(samples(Storey::all, five) == 12);
}

TEST_CASE("a building's coverage lies on its footprint", "[study][indoor]") {
    testing::HandPlan hand;
    hand.macro(testing::place(-200, 0), 90, 0.6);
    hand.building(testing::place(40, 0), 24, 3); // six pixels by six, on pixel borders
    const auto study = *testing::compute(hand.done());
    const auto got = indoorCoverage(*study, {});
    int covered = 0;
    for (const auto& t : got.tiles)
        for (std::size_t i = 0; i < t.building.size(); ++i) {
            if (t.building[i] == kNoBuilding) continue;
            ++covered;
            const PlanePoint p{t.key.x * kTileM + (static_cast<double>(i % kRasterPixels) + 0.5) * 4,
                               t.key.y * kTileM + (static_cast<double>(i / kRasterPixels) + 0.5) * 4};
            const PlanePoint d = p - testing::place(40, 0);
            CHECK(std::max(std::abs(d.x), std::abs(d.y)) < 12);
            CHECK(t.building[i] == 0);
        }
    CHECK(covered == 36);
}

TEST_CASE("indoor coverage is the same for any number of threads; stopped it is empty", "[study][indoor]") {
    Random random(3);
    const auto study = *testing::compute(testing::randomPlan(random, {}));
    const auto a = indoorCoverage(*study, {}, 1), b = indoorCoverage(*study, {}, 4);
    REQUIRE(a.buildings.size() == b.buildings.size());
    REQUIRE(!a.buildings.empty());
    std::size_t differs = 0;
    for (std::size_t n = 0; n < a.buildings.size(); ++n)
        differs += a.buildings[n].building != b.buildings[n].building ||
                   a.buildings[n].samples != b.buildings[n].samples ||
                   a.buildings[n].before != b.buildings[n].before ||
                   a.buildings[n].after != b.buildings[n].after;
    for (std::size_t t = 0; t < a.tiles.size(); ++t) differs += a.tiles[t].building != b.tiles[t].building;
    CHECK(differs == 0);
    IndoorSpec none;
    none.layer = 9;
    CHECK(indoorCoverage(*study, none).buildings.empty());
    std::stop_source stop;
    stop.request_stop();
    CHECK(indoorCoverage(*study, {}, 1, Job{stop.get_token(), {}}).buildings.empty());
}
