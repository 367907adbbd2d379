// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/root_plan.h"

#include <algorithm>
#include <cmath>
#include <compare>

namespace fw {

namespace {

constexpr int kMostRootPasses = 50;

struct RootCost {
    std::int64_t conflicts = 0, reuse = 0;
    auto operator<=>(const RootCost&) const = default;
};

class RootSearch {
public:
    RootSearch(const RootProblem& problem, const Job& job)
        : m_p(problem), m_job(job), m_apart(problem.vertices.size()),
          m_conflicts(static_cast<std::size_t>(problem.count)), m_reuse(m_conflicts.size()) {
        for (const auto& [a, b] : problem.apart) {
            m_apart[a].push_back(b);
            m_apart[b].push_back(a);
        }
        for (auto& list : m_apart) std::sort(list.begin(), list.end());
    }

    std::vector<std::int32_t> run() {
        std::vector<std::int32_t> firsts;
        firsts.reserve(m_p.vertices.size());
        for (const RootVertex& v : m_p.vertices)
            firsts.push_back(v.free && !fits(v.first, v.roots) ? -1 : v.first);
        // Whoever has none yet, the widest first: it has fewest places to go.
        std::vector<std::size_t> order;
        for (std::size_t v = 0; v < firsts.size(); ++v)
            if (m_p.vertices[v].free) order.push_back(v);
        std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
            return m_p.vertices[a].roots > m_p.vertices[b].roots;
        });
        for (int pass = 0; pass < kMostRootPasses && !m_job.stopped(); ++pass) {
            bool better = false;
            for (const std::size_t v : order) better = move(v, firsts) || better;
            if (!better) break;
        }
        return firsts;
    }

private:
    [[nodiscard]] bool fits(std::int32_t first, int roots) const {
        return rootsWithin(m_p.allowed, first, roots, m_p.count);
    }

    // Overlap of several roots with one cell counts once for each of them: whole blocks then move whole.
    void weigh(std::size_t v, const std::vector<std::int32_t>& firsts) {
        std::fill(m_conflicts.begin(), m_conflicts.end(), 0);
        std::fill(m_reuse.begin(), m_reuse.end(), 0);
        for (std::size_t u = 0; u < firsts.size(); ++u) {
            if (u == v || firsts[u] < 0) continue;
            const double d = planeDistance(m_p.vertices[u].at, m_p.vertices[v].at);
            const bool near = d < m_p.reuseM || std::binary_search(m_apart[v].begin(), m_apart[v].end(), u);
            const auto reuse = static_cast<std::int64_t>(std::floor(1e9 / (1 + d * d / 1e4)));
            for (int k = 0; k < m_p.vertices[u].roots; ++k) {
                const auto root = static_cast<std::size_t>((firsts[u] + k) % m_p.count);
                m_conflicts[root] += near;
                m_reuse[root] += reuse;
            }
        }
    }

    [[nodiscard]] RootCost costFrom(std::int32_t first, int roots) const {
        RootCost sum;
        for (int k = 0; k < roots; ++k) {
            sum.conflicts += m_conflicts[static_cast<std::size_t>(first + k)];
            sum.reuse += m_reuse[static_cast<std::size_t>(first + k)];
        }
        return sum;
    }

    bool move(std::size_t v, std::vector<std::int32_t>& firsts) {
        const int roots = m_p.vertices[v].roots;
        weigh(v, firsts);
        std::optional<RootCost> best;
        if (firsts[v] >= 0) best = costFrom(firsts[v], roots);
        const std::int32_t before = firsts[v];
        for (const std::int32_t first : m_p.allowed) {
            if (!fits(first, roots)) continue;
            const RootCost cost = costFrom(first, roots);
            if (best && cost >= *best) continue;
            best = cost;
            firsts[v] = first;
        }
        return firsts[v] != before;
    }

    const RootProblem& m_p;
    const Job& m_job;
    std::vector<std::vector<std::size_t>> m_apart;  ///< by vertex, ascending
    std::vector<std::int64_t> m_conflicts, m_reuse; ///< by root, of weigh()
};

} // namespace

bool rootsWithin(const std::vector<std::int32_t>& allowed, std::int32_t first, int roots, int count) {
    if (first < 0 || first + roots > count) return false;
    const auto at = std::lower_bound(allowed.begin(), allowed.end(), first);
    const auto n = static_cast<std::ptrdiff_t>(roots);
    return allowed.end() - at >= n && *at == first && *(at + n - 1) == first + roots - 1;
}

std::vector<std::int32_t> planRoots(const RootProblem& problem, const Job& job) {
    return RootSearch(problem, job).run();
}

} // namespace fw
