// SPDX-License-Identifier: GPL-3.0-or-later
// The stated bound, computed once more from its prices by plain loops over the definition, and held beside a
// general solver: COIN-OR CBC, its proven optimum and the bound of its linear program.
#include "catch.h"

#include "siting/cbc_judge.h"
#include "siting/choice_cases.h"

using namespace fw;
using namespace fwtest;

namespace {

// Best sum over a set of one mount's options that keep their distance, less its cost; `values` by step.
double bestOnMount(const ChoiceProblem& p, std::uint32_t mount, const std::vector<double>& values,
                   double money) {
    const auto& m = p.mounts[mount];
    double best = m.must ? -1e300 : 0;
    std::vector<ChoiceOption> set;
    ChoiceProblem lone = p; // rules of the mount alone
    lone.conflicts.clear();
    lone.groupLimits.assign(p.groupLimits.size(), 1000);
    const auto go = [&](auto& self, int from, double sum) -> void {
        if (!set.empty()) {
            const double cost = static_cast<double>(m.siteCost) +
                                static_cast<double>(m.radioCost) * static_cast<double>(set.size());
            best = std::max(best, sum - money * cost);
        }
        for (int a = from; a < p.steps; ++a) {
            set.push_back({mount, static_cast<std::uint16_t>(a)});
            if (broken(lone, set).empty()) self(self, a + 1, sum + values[static_cast<std::size_t>(a)]);
            set.pop_back();
        }
    };
    go(go, 0, 0);
    return best == -1e300 ? 0 : best;
}

// The formula of BoundPrices, from its text.
double boundFrom(const ChoiceProblem& p, const ChooseOptions& o, const BoundPrices& prices) {
    const bool relief = o.goal == ChoiceGoal::mostRelief;
    const auto targetPrice = [&](std::uint32_t t) { return relief ? 1.0 : prices.target.at(t); };
    double sum = 0;
    for (std::uint32_t i = 0; i < p.worth.size(); ++i) {
        REQUIRE(prices.place[i] >= 0);
        REQUIRE(prices.place[i] <= p.worth[i]);
        sum += targetPrice(p.target[i]) * static_cast<double>(p.worth[i] - prices.place[i]);
    }
    const double money = relief ? prices.money : 1;
    REQUIRE(money >= 0);
    std::vector<std::vector<double>> inGroup(p.groupLimits.size());
    std::vector<int> room(p.groupLimits);
    double mounts = 0;
    for (std::uint32_t m = 0; m < p.mounts.size(); ++m) {
        std::vector<double> values(p.steps);
        for (std::uint16_t a = 0; a < p.steps; ++a)
            for (std::uint32_t i = 0; i < p.worth.size(); ++i)
                if (servesPlain(p, {m, a}, i))
                    values[a] += targetPrice(p.target[i]) * static_cast<double>(prices.place[i]);
        const double best = bestOnMount(p, m, values, money);
        const int g = p.mounts[m].group;
        if (g >= 0 && p.mounts[m].must) --room[static_cast<std::size_t>(g)];
        if (g < 0 || p.mounts[m].must)
            mounts += best;
        else
            inGroup[static_cast<std::size_t>(g)].push_back(best);
    }
    for (std::size_t g = 0; g < inGroup.size(); ++g) {
        std::sort(inGroup[g].rbegin(), inGroup[g].rend());
        for (std::size_t k = 0; k < inGroup[g].size() && static_cast<int>(k) < room[g]; ++k)
            mounts += inGroup[g][k];
    }
    if (relief) return sum + mounts + (money > 0 ? money * static_cast<double>(o.budget) : 0);
    double need = 0;
    for (std::uint32_t t = 0; t < p.targets.size(); ++t)
        need += targetPrice(t) * static_cast<double>(p.targets[t].need);
    return need - sum - mounts;
}

CaseSpec ruled(std::uint64_t seed, int mounts) {
    CaseSpec s;
    s.seed = seed;
    s.mounts = mounts;
    s.steps = 4;
    s.places = 10 * mounts;
    s.sideM = 100 * std::sqrt(mounts);
    s.targets = 1 + static_cast<int>(seed % 3);
    s.money = seed % 2 == 0;
    s.radios = 1 + static_cast<int>(seed % 2);
    s.conflicts = 1.0 / mounts;
    s.groups = 3;
    s.limit = 2;
    s.musts = 0.03;
    s.nots = 0.2;
    return s;
}

ChooseOptions with(ChoiceGoal goal, bool money) {
    ChooseOptions o;
    o.goal = goal;
    if (goal == ChoiceGoal::mostRelief) o.budget = money ? 400 : 5;
    o.threads = 1;
    return o;
}

} // namespace

TEST_CASE("the bound follows from its prices by the formula that is stated", "[choose]") {
    int seen = 0;
    for (std::uint64_t seed = 1; seed <= 24; ++seed) {
        CAPTURE(seed);
        const CaseSpec spec = ruled(seed, 12);
        const ChoiceProblem p = makeCase(spec);
        for (const ChoiceGoal goal : {ChoiceGoal::mostRelief, ChoiceGoal::reachTargets}) {
            const auto o = with(goal, spec.money);
            const auto c = choose(p, o);
            if (!c) continue;
            REQUIRE(c->bound);
            const double again = boundFrom(p, o, c->prices);
            // Whole numbers are compared: what rounding can cost is far below a unit here.
            if (goal == ChoiceGoal::mostRelief)
                CHECK(*c->bound == static_cast<std::int64_t>(std::floor(again + 1e-6)));
            else
                CHECK(*c->bound ==
                      std::max<std::int64_t>(0, static_cast<std::int64_t>(std::ceil(again - 1e-6))));
            ++seen;
        }
    }
    CHECK(seen > 30);
}

TEST_CASE("a general solver proves the same optimum, and its linear program no better bound", "[choose]") {
    int proven = 0;
    double oursApart = 0, linearApart = 0;
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
        CAPTURE(seed);
        const CaseSpec spec = ruled(seed, 20);
        const ChoiceProblem p = makeCase(spec);
        for (const ChoiceGoal goal : {ChoiceGoal::mostRelief, ChoiceGoal::reachTargets}) {
            const auto o = with(goal, spec.money);
            const auto c = choose(p, o);
            const CbcAnswer judge = askCbc(p, o);
            if (!c) {
                CHECK_FALSE(judge.optimal);
                continue;
            }
            if (goal == ChoiceGoal::reachTargets) {
                CHECK(c->allReached == judge.optimal);
                if (!judge.optimal) continue;
            }
            REQUIRE(judge.optimal);
            const auto have = static_cast<double>(goal == ChoiceGoal::mostRelief ? c->relief : c->cost);
            CHECK(have == Approx(judge.value).epsilon(1e-9));
            const bool most = goal == ChoiceGoal::mostRelief;
            CHECK((most ? static_cast<double>(*c->bound) >= judge.value - 1e-6
                        : static_cast<double>(*c->bound) <= judge.value + 1e-6));
            const CbcAnswer linear = askCbc(p, o, true);
            oursApart += std::fabs(static_cast<double>(*c->bound) - judge.value) / judge.value;
            linearApart += std::fabs(linear.value - judge.value) / judge.value;
            ++proven;
        }
    }
    CHECK(proven > 10);
    // Ours leaves conflicts out, which the linear program sees; it comes near all the same.
    CHECK(oursApart / proven < linearApart / proven + 0.10);
}

TEST_CASE("without rules the bound comes down to that of the linear program", "[choose]") {
    CaseSpec spec;
    spec.mounts = 40;
    spec.steps = 6;
    spec.places = 300;
    spec.sideM = 700;
    const ChoiceProblem p = makeCase(spec);
    ChooseOptions o;
    o.budget = 6;
    o.boundSteps = 2400;
    const auto c = choose(p, o);
    REQUIRE(c);
    const CbcAnswer linear = askCbc(p, o, true), whole = askCbc(p, o);
    REQUIRE(whole.optimal);
    CHECK(static_cast<double>(c->relief) == Approx(whole.value).epsilon(1e-9));
    // No Lagrangian bound of this kind beats the linear program; a subgradient comes within half a percent.
    CHECK(static_cast<double>(*c->bound) >= std::floor(linear.value - 1e-6));
    CHECK(static_cast<double>(*c->bound) <= linear.value * 1.005);
}
