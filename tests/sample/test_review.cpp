// SPDX-License-Identifier: GPL-3.0-or-later
// Whether the review is of use on a believable town: it catches what is bad on purpose and leaves the rest a
// way.
#include "sample_plan.h"

#include "review/review.h"

#include <cmath>

using namespace fw;

namespace {

std::shared_ptr<const Study> studyOf(const Plan& plan) {
    auto made = Study::advance(nullptr, plan, test::sampleTerrain());
    REQUIRE(made.ok());
    return *made;
}

const std::shared_ptr<const Study>& sampleStudy() {
    static const std::shared_ptr<const Study> study = studyOf(test::samplePlan());
    return study;
}

Severity severityOf(const std::string& word) {
    return word == "block" ? Severity::block : word == "warn" ? Severity::warn : Severity::note;
}

struct Candidate {
    ItemId mount, radio, small;
};

// The sample with a radio and a cell that is not chosen on every mount that is not bad and has none.
Plan withCandidates(std::vector<Candidate>& out) {
    Plan plan = test::samplePlan();
    const auto bad = test::badMounts();
    for (const Mount& m : test::samplePlan().mounts) {
        if (bad.count(m.name)) continue;
        ItemId radio;
        for (const Radio& r : plan.radios)
            if (r.mount == m.id && !radio) radio = r.id;
        ItemId small;
        for (const SmallCell& s : plan.smallCells)
            if (s.radio == radio && s.variant == plan.settings->activeVariant) small = s.id;
        if (!radio) {
            radio = plan.nextId();
            plan.lastId = {radio.v + 1};
            small = plan.lastId;
            Radio r;
            r.id = radio;
            r.mount = m.id;
            plan.radios.put(r);
            SmallCell s;
            s.id = small;
            s.radio = radio;
            s.variant = plan.settings->activeVariant;
            s.chosen = false;
            plan.smallCells.put(s);
        }
        out.push_back({m.id, radio, small});
    }
    return plan;
}

bool keepsAnAzimuth(const Study& study, const Candidate& c) {
    const Mount& mount = *study.plan().mounts.find(c.mount);
    for (int a = 0; a < 360; a += 15) {
        const double azimuth = mount.faces ? mount.faces->deg + a / 2.0 - 90 : a;
        Hypothesis what;
        what.radio = *study.plan().radios.find(c.radio);
        what.radio->azimuth = TrueAzimuth::of(azimuth);
        what.smallCell = *study.plan().smallCells.find(c.small);
        what.smallCell->chosen = true;
        const auto turned = study.overlay(what);
        ReviewOptions about{false, c.mount};
        about.identities = false;
        if (!reviewAll(*turned, about).blocked(c.mount)) return true;
    }
    return false;
}

} // namespace

TEST_CASE("Every mount that is bad on purpose is caught by its rule", "[sample]") {
    const Plan& plan = test::samplePlan();
    const Review review = reviewAll(*sampleStudy(), {false, {}});
    const auto& expected = test::expectedFindings();
    CHECK(expected.size() >= 20);
    std::set<std::string> rulesSeen;
    for (const town::Expected& e : expected) {
        INFO(e.mount << ": " << e.rule << ", " << e.why);
        bool caught = false;
        const std::set<std::string> want(e.subjects.begin(), e.subjects.end());
        for (const Finding& f : review.findings) {
            std::set<std::string> named;
            for (const ItemId id : f.subjects) named.insert(plan.label(id));
            caught = caught || (f.rule == e.rule && named == want && f.severity >= severityOf(e.severity));
        }
        CHECK(caught);
        rulesSeen.insert(e.rule);
    }
    for (const Rule& rule : rules()) {
        if (rule.ofIdentity) continue; // of numbers, not of mounts
        INFO(rule.id);
        CHECK(rulesSeen.count(rule.id) == 1);
    }
}

TEST_CASE("Of the mounts not meant to be bad, most keep an azimuth without a blocking finding",
          "[sample][slow]") {
    std::vector<Candidate> candidates;
    const auto study = studyOf(withCandidates(candidates));
    std::size_t free = 0;
    for (const Candidate& c : candidates) free += keepsAnAzimuth(*study, c);
    WARN(free << " of " << candidates.size() << " mounts keep an azimuth");
    CHECK(candidates.size() >= 100);
    CHECK(static_cast<double>(free) >= 0.6 * static_cast<double>(candidates.size()));
}

TEST_CASE("The roll-out of the sample relieves the full cells, one of them not enough", "[sample]") {
    int under = 0, over = 0;
    for (const LedgerLine& line : sampleStudy()->live().cells) {
        if (!line.congested) continue;
        CHECK(line.after < line.before - 0.10);
        (line.after <= line.target ? under : over)++;
    }
    CHECK(under >= 2);
    CHECK(over == 1);
    // Nobody blocks who is not meant to.
    const auto bad = test::badMounts();
    const Review review = reviewAll(*sampleStudy(), {false, {}});
    for (const SmallCellPart& s : sampleStudy()->smallCells()) {
        const std::string mount = test::samplePlan().label(s.mount);
        INFO(mount);
        if (!bad.count(mount)) CHECK_FALSE(review.blocked(s.id));
    }
}
