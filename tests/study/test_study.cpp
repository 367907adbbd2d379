// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "study/fit.h"
#include "study/rasters.h"
#include "study/settled.h"
#include "study/state.h"
#include "support/random_plan.h"

#include <algorithm>
#include <cmath>
#include <tuple>

using namespace fw;

namespace {

std::shared_ptr<const Terrain> hills() {
    auto t = std::make_shared<Terrain>();
    t->heights = Grid<float>(552000, 4083000, 25, 160, 160);
    for (int y = 0; y < 160; ++y)
        for (int x = 0; x < 160; ++x)
            t->heights.at(x, y) = static_cast<float>(20 + (x - 80) * (x - 80) / 600.0 + y / 20.0);
    return t;
}

Plan town(std::uint64_t seed) {
    Random r(seed);
    return testing::randomPlan(r, {});
}

std::shared_ptr<const Study> hillStudyOf(const Plan& plan, unsigned threads = 2) {
    StudyOptions o;
    o.threads = threads;
    auto s = Study::advance(nullptr, plan, hills(), o);
    if (!s) FAIL(s.error().sentence());
    return *s;
}

void checkSame(const TileSums& a, const TileSums& b) { CHECK(a == b); }
void checkSame(const Skyline& a, const Skyline& b) {
    const auto same = [](const Skyline::Bearing& x, const Skyline::Bearing& y) {
        return std::tie(x.elevationDeg, x.distanceM, x.cause, x.solidM, x.solid) ==
               std::tie(y.elevationDeg, y.distanceM, y.cause, y.solidM, y.solid);
    };
    CHECK(std::equal(a.bearing.begin(), a.bearing.end(), b.bearing.begin(), same));
}

} // namespace

// What must hold by construction (conservation); no outside value needed.
TEST_CASE("PRB cost adds up to the measured use", "[study]") {
    const auto study = hillStudyOf(town(1));
    const StudyCore& core = study->core();
    std::vector<std::int64_t> sum(core.base->cells.size(), 0);
    for (const TilePart& t : core.base->tiles)
        for (std::size_t k = 0; k < t.cost->layers.size(); ++k)
            for (std::size_t i = 0; i < t.cost->layers[k].size(); ++i)
                if (const auto c = t.cost->layers[k][i])
                    sum[rosterOf(t.levels->layers[k].strongest[0][i])] += c;
    int served = 0;
    for (std::size_t n = 0; n < sum.size(); ++n) {
        const CellRuntime& r = core.base->runtime[n];
        CHECK(sum[n] + core.base->unspread[n] + r.fixed == r.total);
        if (sum[n] > 0) {
            ++served;
            // Rounding down leaves less than one step a receiver.
            CHECK(core.base->unspread[n] >= 0);
            CHECK(static_cast<double>(core.base->unspread[n]) < 1e-6 * static_cast<double>(r.total) + 200000);
        }
    }
    CHECK(served >= 9);
}

TEST_CASE("any number of threads gives the same sums", "[study][threads]") {
    const Plan plan = town(2);
    checkSame(hillStudyOf(plan, 1)->core().totals, hillStudyOf(plan, 2)->core().totals);
    CHECK_FALSE(hillStudyOf(plan, 1)->core().totals.pairs.empty());
}

TEST_CASE("a drag's frame equals the full computation at that place", "[study][slow]") {
    const auto study = hillStudyOf(town(3));
    const Plan& plan = study->plan();
    Random r(99);
    int compared = 0;
    for (const Mount& m : plan.mounts) {
        for (int k = 0; k < 3; ++k) {
            Hypothesis h;
            Mount moved = m;
            moved.at = moved.at + PlanePoint{r.between(-60, 60), r.between(-60, 60)};
            h.mount = moved;
            for (const Radio& radio : plan.radios)
                if (radio.mount == m.id) {
                    h.radio = radio;
                    h.radio->azimuth = TrueAzimuth::of(r.between(0, 360));
                    break;
                }
            Plan after = plan;
            after.mounts.put(moved);
            if (h.radio) after.radios.put(*h.radio);
            const auto over = study->overlay(h);
            const auto full = hillStudyOf(after);
            checkSame(over->core().sums(), full->core().totals);
            for (const SmallCellPart& s : full->smallCells()) {
                CHECK(over->reliefPoints(s.id) == full->reliefPoints(s.id));
                CHECK(over->leadAlongBoresightM(s.id) == full->leadAlongBoresightM(s.id));
                CHECK(over->outlook(s.id).costPoints == full->outlook(s.id).costPoints);
                CHECK(fitOf(*over, s.id).value == fitOf(*full, s.id).value);
                ++compared;
            }
        }
    }
    CHECK(compared > 50);
}

// The frame on one thread is held to the full computation above.
TEST_CASE("a frame computed by a crew equals the one of a single thread", "[study][threads]") {
    const Plan plan = town(3);
    // Two, so that nothing kept for one serves both.
    const auto study = hillStudyOf(plan), alone = hillStudyOf(plan);
    Random r(98);
    std::size_t looked = 0;
    for (const unsigned threads : {2u, 5u}) {
        Crew crew(threads);
        for (const Mount& m : plan.mounts)
            for (int k = 0; k < 2; ++k) { // the second frame of a drag finds what the first one kept
                Hypothesis h;
                h.mount = m;
                h.mount->at = m.at + PlanePoint{r.between(-60, 60), r.between(-60, 60)};
                const auto over = study->overlay(h, &crew), want = alone->overlay(h);
                const SmallCellPart* moved = nullptr;
                for (const SmallCellPart& s : over->smallCells())
                    if (s.mount == m.id) moved = &s;
                SmallFootprint aside;
                std::vector<std::function<void()>> besides;
                if (moved) besides.emplace_back([&] { looked += footprintOf(*over, moved->id, aside); });
                over->prepare(crew, besides);
                checkSame(over->core().sums(), want->core().sums());
                checkSame(*over->mount(m.id)->skyline, *want->mount(m.id)->skyline);
                if (!moved) continue;
                SmallFootprint here;
                CHECK(footprintOf(*want, moved->id, here));
                CHECK(aside.captured == here.captured);
                CHECK(aside.leadCenti == here.leadCenti);
                CHECK(over->outlook(moved->id).costPoints == want->outlook(moved->id).costPoints);
                CHECK(over->captureLost(moved->id) == want->captureLost(moved->id));
            }
    }
    CHECK(looked > 10);
}

TEST_CASE("edits one after another equal a fresh study", "[study][slow]") {
    Plan plan = town(4);
    const auto terrain = hills();
    auto study = Study::advance(nullptr, plan, terrain);
    REQUIRE(study.ok());
    std::shared_ptr<const Study> now = *study;
    Random r(5);
    for (int k = 0; k < 60; ++k) {
        const Edit e = testing::randomEdit(plan, r, static_cast<testing::EditKind>(k % testing::kEditKinds));
        auto inverse = apply(plan, e);
        if (!inverse) FAIL(inverse.error().sentence());
        auto next = Study::advance(now, plan, terrain);
        if (!next) FAIL(next.error().sentence());
        now = *next;
        if (k % 7 == 6) {
            const auto cold = Study::advance(nullptr, plan, terrain);
            checkSame(now->core().totals, (*cold)->core().totals);
            CHECK(now->core().base->digest == (*cold)->core().base->digest);
        }
    }
}

TEST_CASE("an edit makes anew what it touches and shares the rest", "[study]") {
    Plan plan = town(4);
    const auto terrain = hills();
    const auto first = Study::advance(nullptr, plan, terrain);
    REQUIRE(first.ok());
    const Surface& before = (*first)->surface();

    Mount m = *plan.mounts.begin();
    m.at.x += 4;
    REQUIRE(apply(plan, Edit{"", {Put{m}}}));
    const auto moved = Study::advance(*first, plan, terrain);
    REQUIRE(moved.ok());
    CHECK(&(*moved)->surface() == &before);
    for (std::size_t k = 0; k < (*first)->core().base->tiles.size(); ++k)
        CHECK((*moved)->core().base->tiles[k].receivers == (*first)->core().base->tiles[k].receivers);

    Building house;
    plan.scenery.forEachBuilding([&](const Building& b) {
        if (house.id.v == 0) house = b;
    });
    house.heightM += 2;
    REQUIRE(apply(plan, Edit{"", {Put{house}}}));
    const auto raised = Study::advance(*moved, plan, terrain);
    REQUIRE(raised.ok());
    const Box box = boundsOf(house.footprint);
    std::size_t same = 0, other = 0;
    REQUIRE((*raised)->surface().tiles().size() == before.tiles().size());
    for (std::size_t k = 0; k < before.tiles().size(); ++k) {
        const auto &was = before.tiles()[k], &is = (*raised)->surface().tiles()[k];
        if (was->key.bounds().meets(box)) {
            CHECK(was->digest != is->digest);
            ++other;
        } else {
            CHECK(was == is);
            ++same;
        }
    }
    CHECK(same > 0);
    CHECK(other > 0);
}

TEST_CASE("the settled ledger is settled, under the caps, and close to the live one", "[study]") {
    const auto study = hillStudyOf(town(6));
    const auto settled = settle(*study);
    REQUIRE(settled.ok());
    CHECK(settled->converged);
    REQUIRE(settled->cells.size() == study->live().cells.size());
    for (const SmallCellUse& u : settled->smalls) CHECK((u.use <= u.cap + 1e-3 || !u.feasible));
    for (std::size_t k = 0; k < settled->cells.size(); ++k) {
        INFO(study->plan().label(settled->cells[k].cell));
        CHECK(settled->cells[k].before == study->live().cells[k].before);
        CHECK(settled->cells[k].after <= settled->cells[k].before + 0.2);
        CHECK(settled->cells[k].after >= settled->cells[k].fixed - 1e-9);
    }
}
