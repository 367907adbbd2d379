// SPDX-License-Identifier: GPL-3.0-or-later
// How many paths of macros stay in memory is a matter of memory alone: every figure is the same.
#include "base/job.h"
#include "catch.h"
#include "study/rim.h"
#include "study/state.h"
#include "support/random_plan.h"

using namespace fw;
using namespace fw::testing;

namespace {

constexpr std::size_t kAll = std::size_t(1) << 40;

std::shared_ptr<const Study> studyKeeping(const std::shared_ptr<const Study>& before, const Plan& plan,
                                          std::size_t kept, unsigned threads = 2) {
    auto terrain = std::make_shared<Terrain>();
    terrain->flatM = plan.settings->terrain.flatM;
    return Study::advance(before, plan, before ? before->core().base->terrain : terrain,
                          StudyOptions{threads, kept})
        .value();
}

std::size_t keptBytes(const Study& s) {
    std::size_t bytes = 0;
    for (const auto& a : s.core().base->antennas)
        for (const auto& slices : a->slices) {
            for (const auto& one : slices) bytes += one->loss.size() * sizeof(std::int16_t);
            if (!slices.empty()) bytes += 2 * slices.front()->indoor->azimuth.size() * sizeof(std::int16_t);
        }
    return bytes;
}

void checkSame(const Study& a, const Study& b) {
    const Baseline &x = *a.core().base, &y = *b.core().base;
    REQUIRE(x.tiles.size() == y.tiles.size());
    for (std::size_t i = 0; i < x.tiles.size(); ++i) {
        const TileLevels &p = *x.tiles[i].levels, &q = *y.tiles[i].levels;
        CHECK(p.digest == q.digest);
        REQUIRE(p.layers.size() == q.layers.size());
        for (std::size_t k = 0; k < p.layers.size(); ++k) {
            CHECK(p.layers[k].strongest == q.layers[k].strongest);
            CHECK(p.layers[k].power == q.layers[k].power);
            CHECK(p.layers[k].sinr == q.layers[k].sinr);
        }
    }
    CHECK(x.digest == y.digest);
    CHECK(a.core().sums() == b.core().sums());
    CHECK(rimOf(a).outOfReach == rimOf(b).outOfReach);
}

} // namespace

TEST_CASE("Paths that are made again are those that stay, cold and after an edit", "[study]") {
    Random random(4711);
    RandomPlanSpec spec;
    spec.buildings = 60;
    spec.macroReachM = 600;
    Plan plan = randomPlan(random, spec);
    auto all = studyKeeping(nullptr, plan, kAll);
    const std::size_t whole = keptBytes(*all), some = whole / 2;
    REQUIRE(whole > 0);
    auto none = studyKeeping(nullptr, plan, 0, 1), half = studyKeeping(nullptr, plan, some);
    for (int step = 0; step < 4; ++step) {
        CHECK(keptBytes(*none) == 0);
        CHECK(keptBytes(*half) > 0);
        CHECK(keptBytes(*half) <= some);
        checkSame(*all, *none);
        checkSame(*all, *half);
        const Box area = plan.settings->workArea;
        int reached = 0;
        for (int k = 0; k < 25; ++k) {
            const PlanePoint p{random.between(area.x0, area.x1), random.between(area.y0, area.y1)};
            for (const MacroCell& c : all->macroCells()) {
                const auto is = all->macroPathTo(c.id, p), again = none->macroPathTo(c.id, p);
                REQUIRE(is.has_value() == again.has_value());
                if (!is) continue;
                ++reached;
                CHECK(again->levelDbm == is->levelDbm);
                CHECK(again->azimuth.deg == is->azimuth.deg);
                CHECK(again->elevationDeg == is->elevationDeg);
                CHECK(all->macroCellAt(c.id, p) == is->levelDbm);
            }
        }
        CHECK(reached > 25);
        static constexpr EditKind kinds[] = {EditKind::macro, EditKind::sector, EditKind::cell,
                                             EditKind::building};
        REQUIRE(apply(plan, randomEdit(plan, random, kinds[step])));
        all = studyKeeping(all, plan, kAll);
        none = studyKeeping(none, plan, 0);
        half = studyKeeping(half, plan, step % 2 ? some : some / 2);
        // More room than before: what is missing is made when it is needed.
        half = studyKeeping(half, plan, some);
    }
}

TEST_CASE("The direction to a receiver is the one its slice has", "[study]") {
    Random random(5);
    RandomPlanSpec spec;
    spec.buildings = 80;
    spec.macroReachM = 500;
    const auto study = studyKeeping(nullptr, randomPlan(random, spec), kAll);
    const Baseline& b = *study->core().base;
    int inReach = 0, beyond = 0;
    for (const auto& a : b.antennas)
        for (std::size_t t = 0; t < b.tiles.size(); ++t) {
            if (!a->reaches(t)) continue;
            const PathSlice& s = *a->slices[t].front();
            const TileReceivers& r = *b.tiles[t].receivers;
            for (std::size_t i = 0; i < r.size(); i += 7) {
                const auto to = directionTo(a->antenna, r, i);
                if (s.loss[i] == kNoPath) {
                    beyond += !to;
                    continue;
                }
                ++inReach;
                REQUIRE(to);
                const int azimuth =
                    i >= kTileArea
                        ? s.indoor->azimuth[i - kTileArea]
                        : macroAzimuthRow(
                              static_cast<int>(i / kTilePixels) -
                              s.pixelY)[static_cast<int>(i % kTilePixels) - s.pixelX + kAzimuthReach];
                CHECK(to->azimuth == azimuth);
                CHECK(to->elevation == elevationOf(s, r, i));
            }
        }
    CHECK(inReach > 1000);
    CHECK(beyond > 1000);
}

TEST_CASE("A computation that is stopped at any of its steps says so and leaves the state before",
          "[study]") {
    Random random(12);
    RandomPlanSpec spec;
    spec.buildings = 40;
    spec.macroReachM = 600;
    Plan plan = randomPlan(random, spec);
    const auto before = studyKeeping(nullptr, plan, 0);
    REQUIRE(apply(plan, randomEdit(plan, random, EditKind::macro)));
    int stopped = 0;
    for (const auto& from : {std::shared_ptr<const Study>(), before})
        for (int at = 1;; ++at) {
            std::stop_source stop;
            int reports = 0;
            const Job job{stop.get_token(), [&](double, std::string_view) {
                              if (++reports == at) stop.request_stop();
                          }};
            const auto study = Study::advance(from, plan, before->core().base->terrain,
                                              StudyOptions{2, at % 2 ? std::size_t(0) : kAll}, job);
            if (reports < at) { // there are no more steps
                REQUIRE(study);
                checkSame(**study, *studyKeeping(nullptr, plan, kAll));
                break;
            }
            if (study) continue; // it was done when it was told
            ++stopped;
            CHECK(study.error().code == ErrorCode::cancelled);
        }
    CHECK(stopped > 4);
}
