// SPDX-License-Identifier: GPL-3.0-or-later
// Alternates and search rings: each figure is what opening the plan so changed says.
#include "catch.h"
#include "review/small_plan.h"
#include "siting/alternates.h"
#include "study/fit.h"
#include "support/flat_study.h"

#include <algorithm>
#include <cmath>

using namespace fw::testing;
using namespace fwtest;

namespace {

// A small cell on a pole with free mounts about it: one refused, one that looks into a macro wherever it
// looks.
struct PoleAmongMounts {
    SmallPlan p;
    ItemId pole, small, open, wall, refused, far;
    PoleAmongMounts() {
        p.macro(p.away(p.middle, 0, 130));
        p.macro(p.away(p.middle, 140, 420));
        p.building(p.away(p.middle, 270, 70), 0, 60, 20, 12);
        pole = p.mount(p.middle);
        small = p.cell(pole, 200);
        open = p.mount(p.away(p.middle, 200, 60));
        wall = p.mount(p.away(p.middle, 270, 59.7), MountKind::wall);
        p.changeMount(wall, [](Mount& m) { m.faces = TrueAzimuth{90}; });
        refused = p.mount(p.away(p.middle, 160, 40));
        p.changeMount(refused, [](Mount& m) { m.consent = ConsentState::refused; });
        far = p.mount(p.away(p.middle, 180, 148));
        p.mount(p.away(p.middle, 180, 220));
    }
};

} // namespace

TEST_CASE("alternates are the free mounts nearby, ranked, with the figures of the plan so changed") {
    PoleAmongMounts s;
    const auto study = flatStudyOf(s.p.plan);
    AlternateOptions options;
    options.stepDeg = 30;
    options.count = 10;
    const auto all = alternatesFor(study, s.small, options);
    REQUIRE(all);
    CHECK(all->looked == 3);
    REQUIRE(all->list.size() == 3);
    CHECK(all->mount == s.pole);
    CHECK(all->fit == fitOf(*study, s.small).value);
    for (const Alternate& a : all->list) {
        INFO("mount " << a.mount.v);
        CHECK((a.mount == s.open || a.mount == s.wall || a.mount == s.far));
        Plan plan = s.p.plan;
        const auto edit = refusalEdit(plan, s.pole, a);
        REQUIRE(edit);
        const auto undo = apply(plan, *edit);
        REQUIRE(undo);
        CHECK(plan.mounts.find(s.pole)->consent == ConsentState::refused);
        CHECK(plan.radios.find(a.radio.id)->mount == a.mount);
        const auto there = flatStudyOf(plan);
        CHECK(fitOf(*there, s.small).value == a.fit);
        CHECK(there->reliefPoints(s.small) == a.reliefPoints);
        ReviewOptions only;
        only.remedies = false;
        only.identities = false;
        only.only = a.radio.id;
        const Review review = reviewAll(*there, only);
        const bool blocks = std::any_of(review.findings.begin(), review.findings.end(), [](const Finding& f) {
            return f.severity == Severity::block && f.standing != Standing::stands;
        });
        CHECK(blocks == a.blocked);
        CHECK(a.blocked == !a.why.empty());
        if (a.mount == s.wall) CHECK(std::fabs(wrap180(a.radio.azimuth.deg - 90)) <= 90);
        REQUIRE(apply(plan, *undo));
        CHECK(plan == s.p.plan);
        CHECK(workingOf(s.p.plan, *all, a).steps.back().value == a.fit);
    }
    CHECK(std::is_sorted(all->list.begin(), all->list.end(), [](const Alternate& a, const Alternate& b) {
        return std::pair{a.blocked, -a.fit} < std::pair{b.blocked, -b.fit};
    }));
    options.count = 1;
    const auto one = alternatesFor(study, s.small, options);
    REQUIRE(one);
    REQUIRE(one->list.size() == 1);
    CHECK(one->list.front() == all->list.front());
}

TEST_CASE("without a free mount it is said, and a refusal alone leaves the small cell out") {
    SmallPlan p;
    p.macro(p.away(p.middle, 140, 420));
    const ItemId pole = p.mount(p.middle);
    const ItemId small = p.cell(pole, 200);
    const auto study = flatStudyOf(p.plan);
    const auto none = alternatesFor(study, small);
    REQUIRE(none);
    CHECK(none->list.empty());
    CHECK(!none->nothing.empty());
    CHECK(!alternatesFor(study, pole));
    Plan plan = p.plan;
    const auto edit = refusalEdit(plan, pole);
    REQUIRE(edit);
    REQUIRE(apply(plan, *edit));
    CHECK(plan.mounts.find(pole)->consent == ConsentState::refused);
    CHECK(!plan.smallCells.find(small)->chosen);
    Alternate gone;
    gone.mount = pole;
    CHECK(!refusalEdit(plan, pole, gone));
    std::stop_source stop;
    stop.request_stop();
    CHECK(searchRing(*study, small, 60, {stop.get_token(), {}}).error().code == ErrorCode::cancelled);
}

TEST_CASE("a search ring runs along the wall to its ends and says what each place costs") {
    SmallPlan p;
    p.macro(p.away(p.middle, 140, 420));
    // 80 m of wall that looks south; the mount hangs 15 m from its western end.
    p.building(p.away(p.middle, 0, 10.3), 90, 80, 20, 12);
    const PlanePoint at{p.middle.x - 25, p.middle.y};
    const ItemId wall = p.mount(at, MountKind::wall);
    p.changeMount(wall, [](Mount& m) { m.faces = TrueAzimuth{180}; });
    const ItemId small = p.cell(wall, 180);
    const auto study = flatStudyOf(p.plan);
    const auto ring = searchRing(*study, small, 60);
    REQUIRE(ring);
    REQUIRE(ring->samples.size() >= 6);
    CHECK(!ring->says.empty());
    CHECK(ring->says.find("along this wall") != std::string::npos);
    double west = 0, east = 0;
    for (const auto& s : ring->samples) {
        CHECK(std::fabs(s.at.y - at.y) < 0.5);
        (s.at.x < at.x ? west : east) = std::max(s.at.x < at.x ? west : east, s.metres);
        Plan moved = p.plan;
        Mount m = *moved.mounts.find(wall);
        m.at = s.at;
        REQUIRE(apply(moved, Edit{"", {Put{m}}}));
        CHECK(ring->reliefPoints - s.lostPoints ==
              Approx(flatStudyOf(moved)->reliefPoints(small)).margin(1e-9));
    }
    CHECK(west <= 15.5);
    CHECK(west >= 9);
    CHECK(east >= 40);
    CHECK(std::is_sorted(ring->samples.begin(), ring->samples.end(),
                         [](const auto& a, const auto& b) { return a.metres < b.metres; }));
}
