// SPDX-License-Identifier: GPL-3.0-or-later
// PCI choice beside everything that could be chosen on small cases, and beside a checker of its own on large
// ones. The checker below is written from the definitions in pci_plan.h and shares no code with the search.
#include "base/random.h"
#include "catch.h"
#include "siting/pci_plan.h"
#include "siting/up_to.h"

#include <cmath>
#include <tuple>

using namespace fw;
using namespace fwtest;

namespace {

using Cost = std::tuple<std::int64_t, std::int64_t, std::int64_t>;

Cost plainCost(const PciProblem& p, const std::vector<std::int32_t>& pci) {
    std::int64_t conflicts = 0, spread = 0, reuse = 0;
    for (const PciLink& l : p.links) {
        const int a = pci[l.a], b = pci[l.b];
        if (a < 0 || b < 0) continue;
        if (l.apart && a == b) ++conflicts;
        if ((a - b) % 3 == 0) spread += 4 * l.overlap;
        if ((a - b) % 30 == 0) spread += 2 * l.overlap;
        if (p.technology == Technology::nr && (a - b) % 4 == 0) spread += l.overlap;
    }
    for (std::size_t i = 0; i < pci.size(); ++i)
        for (std::size_t k = i + 1; k < pci.size(); ++k)
            if (pci[i] >= 0 && pci[i] == pci[k]) {
                const double dx = p.vertices[i].at.x - p.vertices[k].at.x;
                const double dy = p.vertices[i].at.y - p.vertices[k].at.y;
                reuse += static_cast<std::int64_t>(1e9 / (1 + dx / 100 * (dx / 100) + dy / 100 * (dy / 100)));
            }
    return {conflicts, spread, reuse};
}

Cost tupleOf(const PciCost& c) { return {c.conflicts, c.spread, c.reuse}; }

// The cheapest of all assignments there are.
Cost cheapestOfAll(const PciProblem& p) {
    std::vector<std::int32_t> pci;
    std::vector<std::size_t> free;
    for (std::size_t v = 0; v < p.vertices.size(); ++v) {
        pci.push_back(p.vertices[v].pci);
        if (p.vertices[v].free) free.push_back(v);
    }
    std::vector<std::size_t> digit(free.size(), 0);
    std::optional<Cost> best;
    for (;;) {
        for (std::size_t k = 0; k < free.size(); ++k) pci[free[k]] = p.allowed[digit[k]];
        const Cost cost = plainCost(p, pci);
        if (!best || cost < *best) best = cost;
        std::size_t k = 0;
        while (k < digit.size() && ++digit[k] == p.allowed.size()) digit[k++] = 0;
        if (k == digit.size()) return *best;
    }
}

PciProblem graph(std::size_t n, const std::vector<std::pair<int, int>>& edges,
                 std::vector<std::int32_t> allowed) {
    PciProblem p;
    p.allowed = std::move(allowed);
    for (std::size_t v = 0; v < n; ++v)
        p.vertices.push_back({{1000.0 * static_cast<double>(v), 0}, -1, true});
    for (const auto& [a, b] : edges)
        p.links.push_back({static_cast<std::size_t>(a), static_cast<std::size_t>(b), true, 0});
    return p;
}

PciProblem randomProblem(Random& random, std::size_t n, double reachM, double sideM,
                         std::vector<std::int32_t> allowed, double fixedShare) {
    PciProblem p;
    p.technology = random.chance(0.5) ? Technology::lte : Technology::nr;
    p.allowed = std::move(allowed);
    for (std::size_t v = 0; v < n; ++v) {
        PciVertex x{{random.between(0, sideM), random.between(0, sideM)}, -1, true};
        if (random.chance(fixedShare)) x.free = false;
        if (!x.free && random.chance(0.9))
            x.pci = p.allowed[random.below(static_cast<std::uint32_t>(p.allowed.size()))];
        p.vertices.push_back(x);
    }
    for (std::size_t a = 0; a < n; ++a)
        for (std::size_t b = a + 1; b < n; ++b) {
            const double d = planeDistance(p.vertices[a].at, p.vertices[b].at);
            if (d < reachM)
                p.links.push_back({a, b, true, static_cast<std::int64_t>(1000 * (1 - d / reachM))});
            else if (d < 2 * reachM && random.chance(0.5))
                p.links.push_back({a, b, true, 0});
        }
    return p;
}

} // namespace

TEST_CASE("On small cases no choice of PCI is cheaper than the one made", "[siting][pci]") {
    int tight = 0;
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        Random random(seed);
        const std::size_t n = 3 + random.below(4);
        std::vector<std::int32_t> allowed;
        for (std::int32_t k = 0; k < 4; ++k)
            allowed.push_back((allowed.empty() ? 0 : allowed.back() + 1) +
                              static_cast<std::int32_t>(random.below(9)));
        const PciProblem p = randomProblem(random, n, 300, 500, allowed, 0.25);
        const PciPlan plan = planPcis(p);
        INFO("seed " << seed << ", " << n << " cells, " << p.links.size() << " links");
        CHECK(plan.proven);
        CHECK(plainCost(p, plan.pcis) == tupleOf(plan.cost));
        CHECK(tupleOf(plan.cost) == cheapestOfAll(p));
        tight += plan.cost.conflicts > 0;
    }
    CHECK(tight > 3); // cases where four PCIs are not enough
    CHECK(tight < 57);
}

// Chromatic numbers from any book on graph theory (West, Introduction to Graph Theory, 2nd ed., 5.2).
TEST_CASE("Known graphs need as many PCIs as they have colours", "[siting][pci]") {
    std::vector<std::pair<int, int>> petersen, five, groetzsch;
    for (int k = 0; k < 5; ++k) {
        petersen.emplace_back(k, (k + 1) % 5);
        petersen.emplace_back(k, k + 5);
        petersen.emplace_back(k + 5, (k + 2) % 5 + 5);
        for (int m = k + 1; m < 5; ++m) five.emplace_back(k, m);
        // Mycielski's construction on the pentagon: 0..4, their shadows 5..9, and 10.
        groetzsch.emplace_back(k, (k + 1) % 5);
        groetzsch.emplace_back(k, (k + 1) % 5 + 5);
        groetzsch.emplace_back(k, (k + 4) % 5 + 5);
        groetzsch.emplace_back(k + 5, 10);
    }
    const auto conflicts = [](std::size_t n, const auto& edges, std::int32_t colours) {
        const PciPlan plan = planPcis(graph(n, edges, upTo(colours)), 2000000);
        CHECK(plan.proven);
        return plan.cost.conflicts;
    };
    CHECK(conflicts(10, petersen, 3) == 0);
    CHECK(conflicts(10, petersen, 2) == 3); // its largest cut has 12 of 15 edges
    CHECK(conflicts(5, five, 5) == 0);
    CHECK(conflicts(5, five, 4) == 1);
    CHECK(conflicts(11, groetzsch, 4) == 0);
    CHECK(conflicts(11, groetzsch, 3) == 1); // critical: without any one edge three are enough
}

TEST_CASE("Random towns have no conflict, and no single step makes them cheaper", "[siting][pci]") {
    for (const std::uint64_t seed : {5, 6, 7}) {
        Random random(seed);
        PciProblem p = randomProblem(random, 90, 250, 1500, upTo(504), 0.3);
        p.allowed = upTo(120); // a range of its own
        const PciPlan plan = planPcis(p);
        INFO("seed " << seed << ", " << p.links.size() << " links");
        std::int64_t fixed = 0;
        for (const PciLink& l : p.links)
            if (!p.vertices[l.a].free && !p.vertices[l.b].free)
                fixed += p.vertices[l.a].pci >= 0 && p.vertices[l.a].pci == p.vertices[l.b].pci;
        CHECK(plan.cost.conflicts == fixed);
        const Cost best = plainCost(p, plan.pcis);
        CHECK(best == tupleOf(plan.cost));
        for (std::size_t v = 0; v < p.vertices.size(); ++v) {
            if (!p.vertices[v].free) {
                CHECK(plan.pcis[v] == p.vertices[v].pci);
                continue;
            }
            CHECK(plan.pcis[v] >= 0);
            CHECK(plan.pcis[v] < 120);
            auto other = plan.pcis;
            for (std::int32_t pci = 0; pci < 120; pci += 7) {
                other[v] = pci;
                REQUIRE(plainCost(p, other) >= best);
            }
        }
        CHECK(planPcis(p).pcis == plan.pcis);
    }
}

TEST_CASE("What cells have is kept where nothing is cheaper", "[siting][pci]") {
    Random random(31);
    PciProblem p = randomProblem(random, 60, 250, 1200, upTo(504), 0.2);
    const PciPlan first = planPcis(p);
    for (std::size_t v = 0; v < p.vertices.size(); ++v) p.vertices[v].pci = first.pcis[v];
    CHECK(planPcis(p).pcis == first.pcis);
    // One that is cheap anyhow and differs from what would be chosen stays as well.
    PciProblem lone = graph(1, {}, upTo(504));
    lone.vertices[0].pci = 417;
    CHECK(planPcis(lone).pcis[0] == 417);
    lone.allowed = upTo(100);
    CHECK(planPcis(lone).pcis[0] == 0);
}

TEST_CASE("What must be shared is shared far apart", "[siting][pci]") {
    PciProblem p = graph(4, {}, upTo(2));
    const double eastM[] = {0, 100, 1000, 1100};
    for (std::size_t v = 0; v < 4; ++v) p.vertices[v].at = {eastM[v], 0};
    const PciPlan plan = planPcis(p);
    CHECK(plan.pcis[0] != plan.pcis[1]);
    CHECK(plan.pcis[2] != plan.pcis[3]);
    CHECK(leastReuseM(p, plan.pcis) == 1000.0);
    CHECK_FALSE(leastReuseM(p, {0, 1, 2, 3}));
}

TEST_CASE("Neighbours differ modulo 3, and in NR modulo 4 as well", "[siting][pci]") {
    PciProblem p = graph(2, {{0, 1}}, {0, 3, 4, 5, 8});
    p.links[0].overlap = 500;
    p.vertices[0] = {{0, 0}, 0, false};
    CHECK(planPcis(p).pcis[1] == 4); // 3 is 0 modulo 3
    p.technology = Technology::nr;
    CHECK(planPcis(p).pcis[1] == 5); // 4 and 8 are 0 modulo 4
    p.vertices[0].pci = -1;          // not known: nothing to keep clear of
    CHECK(planPcis(p).pcis[1] == 0);
}
