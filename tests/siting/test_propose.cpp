// SPDX-License-Identifier: GPL-3.0-or-later
// Proposals are judged by opening the plan anew with each of them in it.
#include "catch.h"
#include "review/small_plan.h"
#include "siting/propose.h"
#include "study/fit.h"
#include "support/flat_study.h"
#include "support/random_plan.h"

#include <algorithm>
#include <map>
#include <set>

using namespace fw::testing;
using namespace fwtest;

namespace {

using Key = std::pair<std::string, std::vector<ItemId>>;
Key keyOf(const Finding& f) { return {f.rule, f.subjects}; }

ReviewOptions plain() {
    ReviewOptions o;
    o.remedies = false;
    o.identities = false; // left to the identity plan
    return o;
}

const Finding* findingOf(const Review& r, const std::string& rule) {
    const auto it =
        std::find_if(r.findings.begin(), r.findings.end(), [&](const Finding& f) { return f.rule == rule; });
    return it == r.findings.end() ? nullptr : &*it;
}

std::map<Key, Finding> byKey(const Review& r) {
    std::map<Key, Finding> out;
    for (const Finding& f : r.findings) out[keyOf(f)] = f;
    return out;
}

// What every proposal promises, asked of the plan that it makes.
void judge(const Plan& before, const Review& review, const Finding& finding, const Proposal& p) {
    INFO(finding.text << " -> " << p.text);
    Plan plan = before;
    REQUIRE(apply(plan, p.edit));
    const auto study = flatStudyOf(plan);
    const Review after = reviewAll(*study, plain());
    const auto was = byKey(review);
    for (const Finding& f : after.findings) {
        if (keyOf(f) == keyOf(finding)) {
            CHECK(f.severity == Severity::note);
            CHECK(finding.severity != Severity::note);
        }
        const auto there = was.find(keyOf(f));
        if (f.severity == Severity::block && f.standing != Standing::stands) {
            INFO("blocks: " << f.text);
            CHECK((there != was.end() && there->second.severity == Severity::block));
        }
        if (f.standing == Standing::nowWorse)
            CHECK((there != was.end() && there->second.standing == Standing::nowWorse));
    }
    double lowest = 100;
    for (const Proposal::Ghost& g : p.ghosts) {
        const Radio* r = plan.radios.find(g.radio);
        REQUIRE(r);
        CHECK(r->azimuth == g.azimuth);
        CHECK(plan.mounts.find(r->mount)->at == g.at);
        if (r->mount != before.radios.find(g.radio)->mount)
            CHECK(plan.mounts.find(r->mount)->consent != ConsentState::refused);
        for (const SmallCellPart& s : study->smallCells())
            if (s.radio == g.radio) lowest = std::min(lowest, fitOf(*study, s.id).value);
    }
    CHECK(p.fitKept == lowest);
}

} // namespace

TEST_CASE("a proposal clears its finding and blocks nothing new, over random plans") {
    std::map<ProposalKind, int> kinds;
    int findings = 0;
    for (const std::uint64_t seed : {5U, 23U}) {
        Random random(seed);
        fw::testing::RandomPlanSpec spec;
        spec.areaM = 700;
        spec.buildings = 80;
        spec.mounts = 12;
        spec.macroReachM = 700;
        Plan plan = fw::testing::randomPlan(random, spec);
        const auto study = flatStudyOf(plan);
        const Review review = reviewAll(*study, plain());
        std::set<std::string> asked;
        for (const Finding& f : review.findings) {
            if (f.standing == Standing::stands || !asked.insert(f.rule).second) continue;
            ++findings;
            const auto proposals = proposalsFor(study, review, f);
            REQUIRE(proposals);
            CHECK(proposals->list.empty() != proposals->nothing.empty());
            CHECK(std::is_sorted(proposals->list.begin(), proposals->list.end(),
                                 [](const Proposal& a, const Proposal& b) { return a.fitKept > b.fitKept; }));
            for (const Proposal& p : proposals->list) {
                ++kinds[p.kind];
                INFO("seed " << seed);
                judge(plan, review, f, p);
            }
        }
    }
    CHECK(findings > 6);
    CHECK(kinds.size() >= 3);
}

TEST_CASE(
    "of two that face each other one is turned, the other, or both, and the smallest turn is the smallest") {
    SmallPlan p;
    p.macro(p.away(p.middle, 140, 420));
    const ItemId west = p.mount(p.middle), east = p.mount(p.away(p.middle, 90, 80));
    const ItemId a = p.cell(west, 90), b = p.cell(east, 270);
    const auto study = flatStudyOf(p.plan);
    const Review review = reviewAll(*study, plain());
    const Finding* f = findingOf(review, "mutual-facing");
    REQUIRE(f);
    const auto proposals = proposalsFor(study, review, *f);
    REQUIRE(proposals);
    std::set<ProposalKind> kinds;
    double smallest = 360;
    for (const Proposal& x : proposals->list) {
        judge(p.plan, review, *f, x);
        kinds.insert(x.kind);
        if (x.kind == ProposalKind::turn) smallest = std::min(smallest, x.change);
    }
    CHECK(kinds.count(ProposalKind::turn) == 1);
    CHECK(kinds.count(ProposalKind::turnBoth) == 1);
    // By hand: smaller turns of either radio to either side, each opened anew; none of them holds.
    for (int by = 1; by < smallest; by += 3)
        for (const ItemId small : {a, b})
            for (const int side : {by, -by}) {
                SmallPlan turned = p;
                turned.turn(small, (small == a ? 90 : 270) + side);
                const Review r = reviewAll(*flatStudyOf(turned.plan), plain());
                const auto stays = std::any_of(r.findings.begin(), r.findings.end(), [&](const Finding& x) {
                    if (keyOf(x) == keyOf(*f) && x.severity != Severity::note) return true;
                    const bool fresh = !byKey(review).count(keyOf(x));
                    return fresh && (x.severity == Severity::block ||
                                     (x.rule == f->rule && x.severity != Severity::note));
                });
                INFO("turn by " << side);
                CHECK(stays);
            }
}

TEST_CASE("a radio whose aim is locked is neither turned nor tilted, and the review knows no turn for it") {
    SmallPlan p;
    p.macro(p.away(p.middle, 140, 420));
    const ItemId a = p.cell(p.mount(p.middle), 90), b = p.cell(p.mount(p.away(p.middle, 90, 80)), 270);
    const ItemId locked = p.plan.smallCells.find(a)->radio;
    Radio held = *p.plan.radios.find(locked);
    held.aimLocked = true;
    p.plan.radios.put(held);
    const auto study = flatStudyOf(p.plan);
    const Review review = reviewAll(*study, ReviewOptions{});
    const Finding* f = findingOf(review, "mutual-facing");
    REQUIRE(f);
    REQUIRE(f->remedy);
    CHECK(f->remedy->radio == p.plan.smallCells.find(b)->radio);
    const auto proposals = proposalsFor(study, review, *f);
    REQUIRE(proposals);
    bool other = false;
    for (const Proposal& x : proposals->list)
        for (const Change& c : x.edit.changes)
            if (const auto* put = std::get_if<Put>(&c))
                if (const auto* r = std::get_if<Radio>(&put->item)) {
                    other = other || r->id != locked;
                    if (r->id != locked || r->mount != held.mount) continue;
                    CHECK(r->azimuth == held.azimuth);
                    CHECK(r->tiltDeg == held.tiltDeg);
                }
    CHECK(other);
    const auto both = std::find_if(proposals->tried.begin(), proposals->tried.end(),
                                   [](const auto& t) { return t.kind == ProposalKind::turnBoth; });
    REQUIRE(both != proposals->tried.end());
    CHECK(both->trials == 0);
    CHECK(both->why.find("locked") != std::string::npos);
}

TEST_CASE("a mount whose owner consented stays in its place, and one who refused is not asked") {
    SmallPlan p;
    p.macro(p.away(p.middle, 90, 60), 1300, 9);
    const ItemId pole = p.mount(p.middle);
    p.cell(pole, 90);
    const ItemId refused = p.mount(p.away(p.middle, 180, 40)), asked = p.mount(p.away(p.middle, 200, 70));
    p.changeMount(pole, [](Mount& m) { m.consent = ConsentState::given; });
    p.changeMount(refused, [](Mount& m) { m.consent = ConsentState::refused; });
    p.changeMount(asked, [](Mount& m) { m.consent = ConsentState::asked; });
    const auto study = flatStudyOf(p.plan);
    const Review review = reviewAll(*study, plain());
    const Finding* f = findingOf(review, "faces-macro");
    REQUIRE(f);
    const auto proposals = proposalsFor(study, review, *f);
    REQUIRE(proposals);
    REQUIRE(!proposals->list.empty());
    for (const Proposal& x : proposals->list) {
        judge(p.plan, review, *f, x);
        CHECK(x.kind != ProposalKind::shift);
        for (const Change& c : x.edit.changes)
            if (const auto* put = std::get_if<Put>(&c))
                if (const auto* r = std::get_if<Radio>(&put->item)) {
                    CHECK(r->mount != refused);
                    if (r->mount == asked) CHECK(!x.consent.empty());
                }
    }
    const auto& tried = proposals->tried;
    const auto shift =
        std::find_if(tried.begin(), tried.end(), [](const auto& t) { return t.kind == ProposalKind::shift; });
    REQUIRE(shift != tried.end());
    CHECK(shift->why.find("consent") != std::string::npos);
}

TEST_CASE("where nothing helps it is said what was tried; a finding that is gone is refused; it stops") {
    SmallPlan p;
    p.macro(p.middle, 1300, 9);
    const ItemId pole = p.mount(p.away(p.middle, 90, 12));
    p.changeMount(pole, [](Mount& m) { m.consent = ConsentState::given; });
    p.cell(pole, 90);
    const auto study = flatStudyOf(p.plan);
    const Review review = reviewAll(*study, plain());
    const Finding* f = findingOf(review, "macro-too-near");
    REQUIRE(f);
    const auto proposals = proposalsFor(study, review, *f);
    REQUIRE(proposals);
    CHECK(proposals->list.empty());
    CHECK(proposals->nothing.find("Tried") != std::string::npos);
    Finding gone = *f;
    gone.subjects = {pole};
    CHECK(!proposalsFor(study, review, gone));
    std::stop_source stop;
    stop.request_stop();
    const auto stopped = proposalsFor(study, review, *f, {}, {stop.get_token(), {}});
    REQUIRE(!stopped);
    CHECK(stopped.error().code == ErrorCode::cancelled);
}
