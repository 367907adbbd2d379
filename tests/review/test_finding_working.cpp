// SPDX-License-Identifier: GPL-3.0-or-later
#include "oracle_plan.h"
#include "small_plan.h"
#include "support/random_plan.h"

#include "review/blocked_bearings.h"
#include "review/finding_working.h"

#include <cmath>
#include <map>

using namespace fwtest;

namespace {

// Of every finding the working's own steps end at what was measured, without a word that they do not.
void checkAll(const Study& study, std::map<std::string, int>& tally) {
    for (const Finding& f : reviewAll(study, {false, {}}).findings) {
        const Working w = workingOf(study, f);
        INFO(f.rule << ": " << f.text);
        REQUIRE(!w.steps.empty());
        CHECK(w.steps.back().value == Approx(f.measured.value).margin(1e-9));
        CHECK(w.steps.back().unit == f.measured.unit);
        CHECK(w.inputs.back().value == f.limit.value);
        CHECK(w.source == f.source);
        for (const std::string& r : w.remarks) CHECK(r.find("has changed") == std::string::npos);
        ++tally[f.rule];
    }
}

// A macro behind a street of houses, and mounts of each kind where every rule of the figures has its say.
SmallPlan busyCorner() {
    SmallPlan p;
    p.macro(p.away(p.middle, 0, 120));
    for (int k = -2; k <= 2; ++k) p.building(p.middle + PlanePoint{k * 30.0, 40}, 90, 14, 10, 15);
    const ItemId tower = p.building(p.middle + PlanePoint{60, -60}, 90, 40, 30, 12);
    const ItemId pole = p.mount(p.middle);
    p.cell(pole, 0);
    p.cell(pole, 40);
    const ItemId roof = p.mount(p.middle + PlanePoint{60, -60}, MountKind::roof);
    p.changeMount(roof, [](Mount& m) {
        m.height = {12.5};
        m.gnssTiming = true;
    });
    p.cell(roof, 200);
    const ItemId street = p.mount(p.middle + PlanePoint{0, 33});
    p.changeMount(street, [](Mount& m) { m.gnssTiming = true; });
    p.cell(street, 350);
    REQUIRE(tower);
    for (const char* limit : {"macro-faces-cell.warn", "macro-faces-cell.block"}) p.set(limit, -60);
    for (const char* limit : {"macro-too-near.warn", "macro-too-near.block"}) p.set(limit, -140);
    p.set("macro-too-near.relief", 1000);
    p.set("tilt-outlook.missed", 1);
    p.set("sky-view.blocked", 1);
    p.set("outside-fringe.share", 100);
    // All on one number, so that identities have theirs too.
    const std::vector<SmallCell> smalls(p.plan.smallCells.begin(), p.plan.smallCells.end());
    for (SmallCell c : smalls) {
        c.pci = 3;
        c.identity.rootSequence = 10;
        p.plan.smallCells.put(c);
    }
    return p;
}

} // namespace

TEST_CASE("The working of every finding ends at what was measured", "[review][working]") {
    std::map<std::string, int> tally;
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        const auto study =
            Study::advance(nullptr, OraclePlanMaker(seed).make().plan, SmallPlan::dryLand(), {1});
        REQUIRE(study.ok());
        checkAll(**study, tally);
    }
    checkAll(*busyCorner().study(), tally);
    // Nearly all that can be found is among them: a working nobody asked for here would be untested.
    for (const Rule& r : rules()) {
        INFO(r.id);
        CHECK(tally[r.id] > 0);
    }
}

TEST_CASE("A finding of another study keeps its own figure and says so", "[review][working]") {
    SmallPlan p;
    const ItemId mount = p.mount(p.middle);
    p.changeMount(mount, [](Mount& m) { m.height = {12}; });
    p.cell(mount, 90);
    auto f = p.finding("height-window", {mount});
    REQUIRE(f);
    f->measured.value = 14;
    const Working w = workingOf(*p.study(), *f);
    CHECK(w.steps.back().value == 14);
    CHECK(std::any_of(w.remarks.begin(), w.remarks.end(),
                      [](const std::string& r) { return r.find("has changed") != std::string::npos; }));
}

TEST_CASE("Blocked bearings are those at which a turned radio has a blocking finding", "[review][blocked]") {
    SmallPlan p;
    p.macro(p.away(p.middle, 30, 150));
    const ItemId small = p.cell(p.mount(p.middle), 200);
    p.building(p.middle + PlanePoint{-9, 0}, 0, 60, 8, 12); // a wall to the west
    const auto blocked = blockedBearings(*p.study(), p.radioOf(small));
    int count = 0;
    for (int k = 0; k < BlockedBearings::kBins; ++k) {
        SmallPlan turned = p;
        turned.turn(small, k * BlockedBearings::kBinDeg);
        bool blocks = false;
        for (const Finding& f : reviewAll(*turned.study(), {false, {}}).findings) {
            const auto rule =
                std::find_if(rules().begin(), rules().end(), [&](const Rule& r) { return r.id == f.rule; });
            blocks = blocks || (f.severity == Severity::block && rule->turnable);
        }
        INFO(k * BlockedBearings::kBinDeg << " deg");
        CHECK(blocked.why[static_cast<std::size_t>(k)].has_value() == blocks);
        count += blocks;
    }
    CHECK(count > 5);
    CHECK(count < 60);
    CHECK(blocked.at(TrueAzimuth{30})->rule == "faces-macro");
    CHECK(blocked.at(TrueAzimuth{271})->rule == "into-obstruction");
    CHECK(&blocked.at(TrueAzimuth{359}) == &blocked.why[0]);
}
