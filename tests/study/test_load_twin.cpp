// SPDX-License-Identifier: GPL-3.0-or-later
// The load engine against users drawn one by one.
#include "catch.h"
#include "hand_plan.h"
#include "load_twin.h"
#include "study/ledger.h"
#include "support/random_plan.h"

#include <algorithm>
#include <cmath>

using namespace fw;
using namespace fw::testing;

namespace {

struct TownSize {
    std::uint64_t seed;
    double areaM;
    int buildings, mounts;
};

// Every small cell takes part; the second mount stands 60 m from the first and looks back at it, so that two
// cells overlap; the random plan already gives one radio a carrier of its own.
Plan overlappingTown(const TownSize& t) {
    Random random(t.seed);
    RandomPlanSpec spec;
    spec.areaM = t.areaM;
    spec.buildings = t.buildings;
    spec.mounts = t.mounts;
    spec.trees = 0;
    Plan plan = randomPlan(random, spec);
    std::vector<SmallCell> cells;
    for (const SmallCell& c : plan.smallCells) cells.push_back(c);
    for (SmallCell& c : cells) {
        c.chosen = true;
        plan.smallCells.put(c);
    }
    // The third and fifth mounts are poles (the random plan's wall mounts are every third).
    std::vector<Mount> mounts;
    for (const Mount& m : plan.mounts) mounts.push_back(m);
    if (mounts.size() > 4) {
        Mount& a = mounts[2];
        Mount& b = mounts[4];
        b.at = a.at + PlanePoint{0, 60};
        plan.mounts.put(b);
        std::vector<Radio> radios;
        for (const Radio& r : plan.radios) radios.push_back(r);
        for (Radio& r : radios) {
            if (r.mount == a.id) r.azimuth = TrueAzimuth{0};
            if (r.mount == b.id) r.azimuth = TrueAzimuth{180};
            plan.radios.put(r);
        }
    }
    return plan;
}

} // namespace

namespace {

double pointsOf(const StudyCore& core, std::int64_t cost, std::size_t cell) {
    return static_cast<double>(cost) / kPrbUnit / core.base->cells[cell].resourceBlocks * 100;
}
double pointsOf(const StudyCore& core, double prb, std::size_t cell) {
    return prb / core.base->cells[cell].resourceBlocks * 100;
}

// Relief by each small cell and in all, and harm, in points of the macro cell's PRB.
void checkCell(const StudyCore& core, const TwinTotals& twin, std::size_t c) {
    const TileSums& sums = core.sums();
    double ours = 0, drawn = 0;
    for (std::size_t n = 0; n < core.smalls.size(); ++n) {
        const auto a =
            sums.pairs.find(TileSums::keyOf(static_cast<std::uint16_t>(n), static_cast<std::uint16_t>(c)));
        const auto b = twin.pairs.find({static_cast<int>(n), static_cast<int>(c)});
        const double mine = a == sums.pairs.end() ? 0 : pointsOf(core, a->second.relief, c);
        const double theirs = b == twin.pairs.end() ? 0 : pointsOf(core, b->second.relief, c);
        CAPTURE(n);
        CHECK(std::fabs(mine - theirs) <= 2);
        ours += mine;
        drawn += theirs;
    }
    CHECK(std::fabs(ours - drawn) <= 2);
    const auto a = sums.harm.find(static_cast<std::uint16_t>(c));
    const auto b = twin.harm.find(static_cast<int>(c));
    const double mine = a == sums.harm.end() ? 0 : pointsOf(core, a->second, c);
    const double theirs = b == twin.harm.end() ? 0 : pointsOf(core, b->second, c);
    CHECK(std::fabs(mine - theirs) <= std::max(0.25, 0.15 * theirs));
}

} // namespace

// Asked: relief within 2 points of the macro cell's PRB, small-cell use within 10 %. What separates the two
// sides besides the noise of the draws (256 a facade, about 0.2 points in the worst pair): the engine looks
// at five shadowings of the macro, at the mean and spread of the small cell's, and at the two best small
// cells. Harm is not asked for; it is held to 15 %.
TEST_CASE("Relief, harm and small-cell use agree with users drawn one by one", "[slow]") {
    const TownSize t =
        GENERATE(TownSize{11, 600, 200, 6}, TownSize{12, 700, 250, 7}, TownSize{14, 500, 120, 6});
    CAPTURE(t.seed);
    const auto study = studyOf(overlappingTown(t));
    const StudyCore& core = study->core();
    REQUIRE(std::any_of(core.smalls.begin(), core.smalls.end(),
                        [](const SmallCellPart& s) { return s.layer < 0; })); // a carrier of its own
    const TwinTotals twin = drawUsers(core, twinReceivers(core), 32, 20260601);
    const auto use = usesOf(core, core.sums());
    double relieved = 0;
    for (const auto& [key, p] : twin.pairs)
        relieved += pointsOf(core, p.relief, static_cast<std::size_t>(key.second));
    REQUIRE(relieved > 50); // a test about nothing proves nothing
    for (std::size_t c = 0; c < core.base->cells.size(); ++c) {
        CAPTURE(c);
        checkCell(core, twin, c);
    }
    for (std::size_t n = 0; n < use.size(); ++n) {
        CAPTURE(n, use[n], twin.use[n]);
        // At a few per cent of its PRB a small cell idles, and single receivers decide.
        CHECK(std::fabs(use[n] - twin.use[n]) <= std::max(0.002, 0.1 * twin.use[n]));
    }
}
