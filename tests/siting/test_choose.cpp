// SPDX-License-Identifier: GPL-3.0-or-later
// Judges: every set there is, tried one by one; rules and sums written from the definition (choice_cases.h).
#include "catch.h"

#include "siting/choice_cases.h"

using namespace fw;
using namespace fwtest;

namespace {

CaseSpec smallCase(std::uint64_t seed) {
    CaseSpec s;
    s.seed = seed;
    s.mounts = 6;
    s.steps = 3;
    s.places = 30;
    s.sideM = 350;
    return s;
}

// Every kind of rule at once.
CaseSpec ruledCase(std::uint64_t seed) {
    CaseSpec s = smallCase(seed);
    s.money = seed % 2 == 0;
    s.radios = seed % 3 == 0 ? 2 : 1;
    s.conflicts = 0.3;
    s.groups = 3;
    s.limit = 1 + static_cast<int>(seed % 2);
    s.musts = 0.1;
    s.nots = 0.3;
    return s;
}

ChooseOptions quick(ChoiceGoal goal, std::int64_t budget = std::numeric_limits<std::int64_t>::max()) {
    ChooseOptions o;
    o.goal = goal;
    o.budget = budget;
    o.iterations = 60;
    o.boundSteps = 120;
    o.threads = 1;
    return o;
}

// What a result says of itself, held against the judges.
void checkSelf(const ChoiceProblem& p, const ChooseOptions& o, const Choice& c) {
    const auto set = optionsOf(c);
    const Judged j = judge(p, set);
    CAPTURE(broken(p, set), mustsMissing(p, set));
    CHECK(broken(p, set).empty());
    CHECK(mustsMissing(p, set).empty());
    CHECK(c.relief == j.relief);
    CHECK(c.cost == j.cost);
    CHECK(c.reliefOf == j.reliefOf);
    CHECK(c.allReached == (j.missing == 0));
    if (o.goal == ChoiceGoal::mostRelief) CHECK(c.cost <= o.budget);
    for (std::size_t k = 0; k < set.size(); ++k) {
        auto without = set;
        without.erase(without.begin() + static_cast<std::ptrdiff_t>(k));
        const Judged w = judge(p, without);
        CHECK(c.chosen[k].marginal == j.relief - w.relief);
        CHECK(c.chosen[k].cost == j.cost - w.cost);
        CHECK(c.chosen[k].alone == judge(p, {set[k]}).relief);
    }
}

// The option that adds most, by trying each.
void checkLeftOut(const ChoiceProblem& p, const Choice& c) {
    const auto set = optionsOf(c);
    const std::int64_t have = judge(p, set).relief;
    std::int64_t most = 0;
    for (std::uint32_t m = 0; m < p.mounts.size(); ++m)
        for (std::uint16_t a = 0; a < p.steps; ++a) {
            if (std::count(set.begin(), set.end(), ChoiceOption{m, a})) continue;
            auto with = set;
            with.push_back({m, a});
            if (broken(p, with).empty()) most = std::max(most, judge(p, with).relief - have);
        }
    REQUIRE((c.leftOut ? c.leftOut->marginal : 0) == most);
    if (!c.leftOut) return;
    auto with = set;
    with.push_back(c.leftOut->option);
    CHECK(broken(p, with).empty());
    CHECK(judge(p, with).relief - have == most);
}

} // namespace

TEST_CASE("the most relief for a count is the best of all sets", "[choose]") {
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        CAPTURE(seed);
        const ChoiceProblem p = makeCase(smallCase(seed));
        const auto o = quick(ChoiceGoal::mostRelief, 3);
        const auto c = choose(p, o);
        REQUIRE(c);
        checkSelf(p, o, *c);
        checkLeftOut(p, *c);
        const auto best = bestOfAll(p, o);
        CHECK(c->relief == best.value_or(-1));
        REQUIRE(c->bound);
        CHECK(*c->bound >= *best);
    }
}

TEST_CASE("with costs, conflicts, streets, must and must not it is the best of all sets too", "[choose]") {
    int compared = 0, refused = 0;
    for (std::uint64_t seed = 1; seed <= 80; ++seed) {
        CAPTURE(seed);
        const CaseSpec spec = ruledCase(seed);
        const ChoiceProblem p = makeCase(spec);
        for (const ChoiceGoal goal : {ChoiceGoal::mostRelief, ChoiceGoal::reachTargets}) {
            const auto o = goal == ChoiceGoal::mostRelief ? quick(goal, spec.money ? 250 : 3) : quick(goal);
            const auto c = choose(p, o);
            const auto best = bestOfAll(p, o);
            if (!c) { // must-haves that cannot stand together
                CHECK(c.error().code == ErrorCode::badInput);
                CHECK_FALSE(best.has_value());
                ++refused;
                continue;
            }
            checkSelf(p, o, *c);
            checkLeftOut(p, *c);
            REQUIRE(c->bound);
            if (goal == ChoiceGoal::mostRelief) {
                CHECK(c->relief == best.value_or(-1));
                CHECK(*c->bound >= *best);
            } else {
                CHECK(c->allReached == best.has_value());
                if (!best) continue;
                CHECK(c->cost == *best);
                CHECK(*c->bound <= *best);
            }
            ++compared;
        }
    }
    CHECK(compared > 100);
    CHECK(refused < 30);
}

TEST_CASE("where greedy is led astray the choice is not", "[choose]") {
    // Places 3 | 4 4 | 3: the middle mount takes 8 first and leaves 3; the outer two have 7 each.
    ChoiceProblem p;
    p.steps = 1;
    p.worth = {3, 4, 4, 3};
    p.target = {0, 0, 0, 0};
    p.targets = {{"T", 14}};
    const StepRange all{0, 1};
    for (const auto& places : std::vector<std::vector<std::uint32_t>>{{1, 2}, {0, 1}, {2, 3}}) {
        ChoiceProblem::Mount m;
        for (const std::uint32_t i : places) m.runs.push_back({i, all});
        p.mounts.push_back(m);
    }
    const auto two = choose(p, quick(ChoiceGoal::mostRelief, 2));
    REQUIRE(two);
    CHECK(two->relief == 14);
    CHECK(optionsOf(*two) == std::vector<ChoiceOption>{{1, 0}, {2, 0}});
    CHECK(two->bound.value_or(0) == 14);
    CHECK(two->gap.value_or(1) == 0.0);
    const auto reach = choose(p, quick(ChoiceGoal::reachTargets));
    REQUIRE(reach);
    CHECK(reach->cost == 2);
    CHECK(reach->allReached);
}

TEST_CASE("40 of 2,000 mounts that serve many of the same places are the best there are", "[choose][slow]") {
    CaseSpec spec;
    spec.mounts = 2000;
    spec.places = 20000;
    spec.sideM = 6000;
    spec.reachM = 250;
    spec.steps = 1;
    spec.beam = 1;
    spec.targets = 1;
    ChooseOptions o;
    o.budget = 40;
    // What COIN-OR CBC (2.10) proves in some 20 s.
    for (const auto& [seed, proven] : {std::pair{1, 327000}, std::pair{2, 324132}, std::pair{4, 325185}}) {
        spec.seed = static_cast<std::uint64_t>(seed);
        const ChoiceProblem p = makeCase(spec);
        for (o.seed = 1; o.seed <= 3; ++o.seed) {
            INFO("case " << seed << ", search " << o.seed);
            CHECK(choose(p, o)->relief == proven);
        }
    }
}

TEST_CASE("the same seed gives the same bytes on one thread and on two, and again", "[choose][threads]") {
    CaseSpec spec;
    spec.mounts = 120;
    spec.steps = 12;
    spec.places = 2000;
    spec.targets = 4;
    spec.conflicts = 0.02;
    spec.money = true;
    const ChoiceProblem p = makeCase(spec);
    for (const ChoiceGoal goal : {ChoiceGoal::mostRelief, ChoiceGoal::reachTargets}) {
        auto o = quick(goal, goal == ChoiceGoal::mostRelief ? 700 : ChooseOptions{}.budget);
        const auto one = choose(p, o);
        o.threads = 2;
        const auto two = choose(p, o), again = choose(p, o);
        REQUIRE(one);
        REQUIRE(two);
        REQUIRE(again);
        CHECK(*one == *two);
        CHECK(*two == *again);
    }
}

TEST_CASE("the curve only gets better, and ends with what is told", "[choose]") {
    CaseSpec spec;
    spec.mounts = 60;
    spec.places = 800;
    const ChoiceProblem p = makeCase(spec);
    auto o = quick(ChoiceGoal::mostRelief, 8);
    std::vector<ChoicePoint> seen;
    o.onPoint = [&](const ChoicePoint& at) { seen.push_back(at); };
    const auto c = choose(p, o);
    REQUIRE(c);
    CHECK(seen == c->curve);
    REQUIRE(seen.size() >= 2);
    for (std::size_t k = 1; k < seen.size(); ++k) {
        CHECK(seen[k].iteration > seen[k - 1].iteration);
        CHECK(seen[k].value >= seen[k - 1].value);
        REQUIRE(seen[k].bound);
        CHECK(*seen[k].bound >= seen[k].value);
        if (seen[k - 1].bound) CHECK(*seen[k].bound <= *seen[k - 1].bound);
    }
    CHECK(seen.back().value == c->relief);
    CHECK(seen.back().bound == c->bound);
}

TEST_CASE("what cannot be chosen is said in a sentence", "[choose]") {
    ChoiceProblem p = makeCase(smallCase(3));
    const auto refusal = [&](const ChooseOptions& o) {
        const auto c = choose(p, o);
        REQUIRE_FALSE(c);
        return c.error().sentence();
    };
    SECTION("no mount") {
        p.mounts.clear();
        CHECK(refusal(quick(ChoiceGoal::mostRelief, 3)).find("no mount to choose") != std::string::npos);
    }
    SECTION("every mount ruled out") {
        for (auto& m : p.mounts) m.allowed.assign(p.steps, 0);
        CHECK(refusal(quick(ChoiceGoal::mostRelief, 3)).find("no mount to choose") != std::string::npos);
    }
    SECTION("no load") {
        std::fill(p.worth.begin(), p.worth.end(), 0);
        CHECK(refusal(quick(ChoiceGoal::mostRelief, 3)).find("no load") != std::string::npos);
    }
    SECTION("must-haves in conflict") {
        p.mounts[1].must = p.mounts[4].must = true;
        p.conflicts.push_back({1, 4, {0, p.steps}, {0, p.steps}});
        const auto said = refusal(quick(ChoiceGoal::mostRelief, 3));
        CHECK(said.find("M4") != std::string::npos);
        CHECK(said.find("must-have") != std::string::npos);
    }
    SECTION("must-haves over the budget") {
        p.mounts[1].must = p.mounts[4].must = true;
        CHECK(refusal(quick(ChoiceGoal::mostRelief, 1)).find("more than the budget") != std::string::npos);
    }
    SECTION("numbers that name nothing") {
        p.mounts[2].runs.push_back({999, {0, 1}});
        CHECK(refusal(quick(ChoiceGoal::mostRelief, 3)).find("M2") != std::string::npos);
    }
    SECTION("a target out of reach is no refusal, but named") {
        p.targets[1].need = 100000;
        const auto c = choose(p, quick(ChoiceGoal::reachTargets));
        REQUIRE(c);
        CHECK_FALSE(c->allReached);
        CHECK_FALSE(c->gap);
        CHECK(c->says.find("T1 cannot be reached even with every candidate") != std::string::npos);
    }
    SECTION("a budget that pays for nothing") {
        const auto c = choose(p, quick(ChoiceGoal::mostRelief, 0));
        REQUIRE(c);
        CHECK(c->chosen.empty());
        CHECK(c->bound.value_or(-1) == 0);
    }
}

TEST_CASE("a choice can be stopped", "[choose]") {
    CaseSpec spec;
    spec.mounts = 200;
    spec.places = 2000;
    std::stop_source stop;
    auto o = quick(ChoiceGoal::mostRelief, 10);
    o.onPoint = [&](const ChoicePoint&) { stop.request_stop(); };
    Job job;
    job.stop = stop.get_token();
    const ChoiceProblem p = makeCase(spec);
    const auto c = choose(p, o, job);
    REQUIRE_FALSE(c);
    CHECK(c.error().code == ErrorCode::cancelled);
}

TEST_CASE("a choice that is stopped keeps the best so far, which is a whole answer", "[choose]") {
    CaseSpec spec;
    spec.mounts = 200;
    spec.places = 2000;
    spec.conflicts = 0.02;
    const ChoiceProblem p = makeCase(spec);
    for (const int points : {1, 4}) {
        CAPTURE(points);
        std::stop_source stop;
        auto o = quick(ChoiceGoal::mostRelief, 10);
        o.keepStopped = true;
        int seen = 0;
        o.onPoint = [&](const ChoicePoint&) {
            if (++seen == points) stop.request_stop();
        };
        Job job;
        job.stop = stop.get_token();
        const auto c = choose(p, o, job);
        REQUIRE(c);
        CHECK(c->stopped);
        CHECK(c->iterations < o.iterations);
        CHECK(c->chosen.size() == 10);
        checkSelf(p, o, *c);
        if (c->bound) CHECK(*c->bound >= c->relief);
    }
    // Who is not stopped is told the same, wanted or not.
    auto o = quick(ChoiceGoal::mostRelief, 10);
    const auto plain = choose(p, o);
    o.keepStopped = true;
    const auto kept = choose(p, o);
    REQUIRE(plain);
    REQUIRE(kept);
    CHECK(*plain == *kept);
    CHECK_FALSE(plain->stopped);
}
