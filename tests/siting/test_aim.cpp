// SPDX-License-Identifier: GPL-3.0-or-later
// Aiming a radio: each point of the rose is what opening the plan with the radio turned so says.
#include "base/random.h"
#include "catch.h"
#include "review/review.h"
#include "review/small_plan.h"
#include "siting/aim.h"
#include "study/fit.h"
#include "support/flat_study.h"

#include <algorithm>
#include <cmath>
#include <set>

using namespace fw::testing;
using namespace fwtest;

namespace {

// A pole between two macros, with houses about it, and a second small cell down the street.
struct PoleBetweenMacros {
    SmallPlan p;
    ItemId north, pole, small, other;
    PoleBetweenMacros() {
        north = p.macro(p.away(p.middle, 0, 120));
        p.macro(p.away(p.middle, 140, 420));
        p.building(p.away(p.middle, 200, 60), 20, 60, 14, 15);
        p.building(p.away(p.middle, 100, 45), 100, 40, 12, 9);
        pole = p.mount(p.middle);
        p.changeMount(pole, [](Mount& m) { m.tiltsDeg = {0, 6}; });
        small = p.cell(pole, 200);
        other = p.cell(p.mount(p.away(p.middle, 260, 90)), 260);
    }
};

std::set<std::pair<std::string, std::vector<ItemId>>> blocking(const Review& review) {
    std::set<std::pair<std::string, std::vector<ItemId>>> out;
    for (const Finding& f : review.findings)
        if (f.severity == Severity::block && f.standing != Standing::stands) out.insert({f.rule, f.subjects});
    return out;
}

} // namespace

TEST_CASE("every point of the rose is what a cold computation of the radio so turned says") {
    PoleBetweenMacros c;
    const auto study = flatStudyOf(c.p.plan);
    AimOptions options;
    options.stepDeg = 15;
    const auto aim = aimOf(*study, c.small, options);
    REQUIRE(aim);
    REQUIRE(aim->rose.size() == 24);
    CHECK(aim->tiltsDeg == std::vector<double>{0, 6});

    std::vector<std::set<std::pair<std::string, std::vector<ItemId>>>> blocks;
    std::vector<double> fits;
    for (const double tilt : aim->tiltsDeg)
        for (int k = 0; k < 24; ++k) {
            Plan turned = c.p.plan;
            Radio r = *turned.radios.find(aim->radio);
            r.azimuth = TrueAzimuth{15.0 * k};
            r.tiltDeg = tilt;
            turned.radios.put(r);
            const auto cold = flatStudyOf(turned);
            fits.push_back(fitOf(*cold, c.small).value);
            ReviewOptions only;
            only.remedies = false;
            only.only = aim->radio;
            blocks.push_back(blocking(reviewAll(*cold, only)));
        }
    std::set<std::pair<std::string, std::vector<ItemId>>> everywhere = blocks.front();
    for (const auto& b : blocks) std::erase_if(everywhere, [&](const auto& key) { return !b.count(key); });
    CHECK(aim->everywhere.size() == everywhere.size());
    int blocked = 0;
    for (std::size_t k = 0; k < 24; ++k) {
        INFO("azimuth " << 15 * k);
        const auto isBlocked = [&](std::size_t at) {
            return std::any_of(blocks[at].begin(), blocks[at].end(),
                               [&](const auto& key) { return !everywhere.count(key); });
        };
        std::size_t best = k;
        if (std::pair{!isBlocked(k + 24), fits[k + 24]} > std::pair{!isBlocked(k), fits[k]}) best = k + 24;
        CHECK(aim->rose[k].fit == fits[best]);
        CHECK(aim->rose[k].tiltDeg == (best == k ? 0 : 6));
        CHECK(aim->rose[k].blocked == isBlocked(best));
        blocked += aim->rose[k].blocked;
    }
    CHECK(blocked > 0);
    CHECK(blocked < 24);
}

// The half beam of 65 deg plus the margin of 5 deg that the rule profile names: 37.5 deg to either side.
TEST_CASE("a near macro blocks exactly the azimuths within half the beam and the margin of its bearing") {
    SmallPlan p;
    p.macro(p.away(p.middle, 60, 110), 1300, 12);
    const ItemId pole = p.mount(p.middle);
    p.changeMount(pole, [](Mount& m) { m.tiltsDeg = {3}; });
    const ItemId small = p.cell(pole, 250);
    const auto aim = aimOf(*flatStudyOf(p.plan), small);
    REQUIRE(aim);
    REQUIRE(aim->rose.size() == 360);
    for (std::size_t k = 0; k < 360; ++k) {
        const double off = std::fabs(wrap180(static_cast<double>(k) - 60));
        INFO("azimuth " << k);
        if (std::fabs(off - 37.5) > 1) CHECK((aim->rose[k].rule == "faces-macro") == (off < 37.5));
    }
}

TEST_CASE("lobes are open, apart, best first, and the first is the best of all that is open") {
    PoleBetweenMacros c;
    const auto aim = aimOf(*flatStudyOf(c.p.plan), c.small, {5, {}, 1});
    REQUIRE(aim);
    REQUIRE(!aim->lobes.empty());
    double best = 0;
    for (const AimPoint& p : aim->rose)
        if (!p.blocked) best = std::max(best, p.fit);
    CHECK(aim->lobes.front().fit == best);
    const double drop = std::max(1.0, 0.1 * best);
    for (std::size_t a = 0; a < aim->lobes.size(); ++a) {
        CHECK(!aim->lobes[a].blocked);
        for (std::size_t b = 0; b < a; ++b) {
            CHECK(aim->lobes[b].fit >= aim->lobes[a].fit);
            // Between two lobes, either way round, something blocks or the fit lies lower by the drop.
            for (const int way : {1, -1}) {
                bool parted = false;
                int k = static_cast<int>(aim->lobes[b].azimuth.deg / 5);
                const int end = static_cast<int>(aim->lobes[a].azimuth.deg / 5);
                for (; k != end; k = (k + way + 72) % 72) {
                    const AimPoint& p = aim->rose[static_cast<std::size_t>(k)];
                    parted = parted || p.blocked || p.fit < aim->lobes[b].fit - drop;
                }
                CHECK(parted);
            }
        }
    }
}

TEST_CASE("a radio on a wall is not aimed behind it") {
    SmallPlan p;
    p.macro(p.away(p.middle, 140, 420));
    p.building(p.away(p.middle, 0, 10.3), 90, 40, 20, 12);
    const ItemId wall = p.mount(p.middle, MountKind::wall);
    p.changeMount(wall, [](Mount& m) { m.faces = TrueAzimuth{180}; });
    const ItemId small = p.cell(wall, 180);
    const auto aim = aimOf(*flatStudyOf(p.plan), small, {10, {3}, 1});
    REQUIRE(aim);
    for (const AimPoint& a : aim->rose) {
        INFO("azimuth " << a.azimuth.deg);
        CHECK((a.rule == "bracket") == (std::fabs(wrap180(a.azimuth.deg - 180)) > 90));
    }
}

TEST_CASE("the rose does not depend on the number of threads nor on where the radio points now") {
    PoleBetweenMacros c;
    AimOptions options;
    options.stepDeg = 30;
    options.threads = 1;
    const auto one = aimOf(*flatStudyOf(c.p.plan), c.small, options);
    options.threads = 3;
    const auto three = aimOf(*flatStudyOf(c.p.plan), c.small, options);
    c.p.turn(c.small, 77);
    const auto turned = aimOf(*flatStudyOf(c.p.plan), c.small, options);
    REQUIRE(one);
    REQUIRE(three);
    REQUIRE(turned);
    CHECK(*one == *three);
    CHECK(one->rose == turned->rose);
    CHECK(turned->now.azimuth.deg == 77);
}

TEST_CASE("aiming is refused by a sentence, stops when asked, and is one step of history") {
    PoleBetweenMacros c;
    const auto study = flatStudyOf(c.p.plan);
    CHECK(!aimOf(*study, c.north));
    CHECK(!aimOf(*study, c.small, {0.2, {}, 1}));
    CHECK(!aimOf(*study, c.small, {10, {95}, 1}));
    std::stop_source stop;
    stop.request_stop();
    const auto stopped = aimOf(*study, c.small, {}, {stop.get_token(), {}});
    REQUIRE(!stopped);
    CHECK(stopped.error().code == ErrorCode::cancelled);

    const auto aim = aimOf(*study, c.small, {30, {}, 1});
    REQUIRE(aim);
    Plan plan = c.p.plan;
    const auto edit = aimEdit(plan, aim->radio, aim->lobes.front());
    REQUIRE(edit);
    REQUIRE(apply(plan, *edit));
    CHECK(plan.radios.find(aim->radio)->azimuth.deg == aim->lobes.front().azimuth.deg);
    CHECK(plan.radios.find(aim->radio)->tiltDeg == aim->lobes.front().tiltDeg);
    CHECK(!aimEdit(plan, aim->radio, aim->lobes.front()));
    CHECK(!aimEdit(plan, c.north, aim->lobes.front()));
    const Working w = workingOf(*study, *aim);
    CHECK(w.steps.back().value == aim->lobes.front().fit);
}
