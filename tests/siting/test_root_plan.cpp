// SPDX-License-Identifier: GPL-3.0-or-later
// Root sequences beside a checker that lists every root of every cell.
#include "base/random.h"
#include "catch.h"
#include "radio/root_sequence.h"
#include "siting/root_plan.h"
#include "siting/up_to.h"

#include <set>

using namespace fw;
using namespace fwtest;

namespace {

std::set<int> rootsOf(std::int32_t first, int n) {
    std::set<int> out;
    for (int k = 0; k < n; ++k) out.insert((first + k) % 838);
    return out;
}

bool share(const std::set<int>& a, const std::set<int>& b) {
    for (const int r : a)
        if (b.count(r)) return true;
    return false;
}

int sharedPairs(const RootProblem& p, const std::vector<std::int32_t>& firsts) {
    int n = 0;
    for (std::size_t a = 0; a < firsts.size(); ++a)
        for (std::size_t b = a + 1; b < firsts.size(); ++b) {
            if (firsts[a] < 0 || firsts[b] < 0) continue;
            bool must = planeDistance(p.vertices[a].at, p.vertices[b].at) < p.reuseM;
            for (const auto& [x, y] : p.apart) must = must || (x == a && y == b) || (x == b && y == a);
            n += must &&
                 share(rootsOf(firsts[a], p.vertices[a].roots), rootsOf(firsts[b], p.vertices[b].roots));
        }
    return n;
}

} // namespace

TEST_CASE("Runs of root sequences meet where their lists do", "[siting][roots]") {
    Random random(3);
    int met = 0;
    for (int k = 0; k < 5000; ++k) {
        const auto a = static_cast<std::int32_t>(random.below(838));
        const auto b = (a + 800 + static_cast<std::int32_t>(random.below(80))) % 838;
        const int m = 1 + static_cast<int>(random.below(64)), n = 1 + static_cast<int>(random.below(64));
        const bool want = share(rootsOf(a, m), rootsOf(b, n));
        REQUIRE(rootsMeet(a, m, b, n) == want);
        met += want;
    }
    CHECK(met > 1000);
    CHECK(met < 4500);
}

TEST_CASE("Random towns share no root sequence within the reuse distance", "[siting][roots]") {
    for (const std::uint64_t seed : {1, 2, 3, 4}) {
        Random random(seed);
        RootProblem p;
        p.reuseM = 700;
        p.allowed = upTo(400);
        for (int v = 0; v < 80; ++v) {
            RootVertex x{{random.between(0, 2500), random.between(0, 2500)}, -1, 1, true};
            if (v % 6 == 0) x = {x.at, static_cast<std::int32_t>(random.below(838)), 10, false};
            if (v % 7 == 1) x.roots = 3;
            p.vertices.push_back(x);
        }
        for (std::size_t v = 1; v < 80; v += 9) p.apart.emplace_back(v, (v + 31) % 80);
        const auto firsts = planRoots(p);
        INFO("seed " << seed);
        RootProblem fixedOnly = p;
        auto fixed = firsts;
        for (std::size_t v = 0; v < fixed.size(); ++v)
            if (p.vertices[v].free) fixed[v] = -1;
        CHECK(sharedPairs(p, firsts) == sharedPairs(p, fixed)); // what the macros share among themselves
        for (std::size_t v = 0; v < firsts.size(); ++v) {
            if (!p.vertices[v].free) {
                CHECK(firsts[v] == p.vertices[v].first);
                continue;
            }
            CHECK(firsts[v] >= 0);
            CHECK(firsts[v] + p.vertices[v].roots <= 400);
        }
        CHECK(planRoots(p) == firsts);
        for (std::size_t v = 0; v < firsts.size(); ++v) p.vertices[v].first = firsts[v];
        CHECK(planRoots(p) == firsts); // kept
    }
}
