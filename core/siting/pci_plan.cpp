// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/pci_plan.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <set>

namespace fw {

namespace {

constexpr int kModulo3 = 4, kModulo30 = 2, kModulo4 = 1;
constexpr int kMostPasses = 50;
constexpr std::size_t kExactCells = 14;

// Multiplication and division are exact to the last bit on every processor; so is the floor.
std::int64_t reuseCost(PlanePoint a, PlanePoint b) {
    const double dx = (a.x - b.x) / 100, dy = (a.y - b.y) / 100;
    return static_cast<std::int64_t>(std::floor(1e9 / (1 + dx * dx + dy * dy)));
}

std::int64_t spreadCost(Technology t, std::int32_t a, std::int32_t b, std::int64_t overlap) {
    std::int64_t w = 0;
    if (a % 3 == b % 3) w += kModulo3;
    if (a % 30 == b % 30) w += kModulo30;
    if (t == Technology::nr && a % 4 == b % 4) w += kModulo4;
    return w * overlap;
}

class PciSearch {
public:
    PciSearch(const PciProblem& problem, const Job& job)
        : m_p(problem), m_job(job), m_links(problem.vertices.size()), m_costs(problem.allowed.size()) {
        for (const PciLink& l : problem.links) {
            m_links[l.a].push_back({l.b, l.apart, l.overlap});
            m_links[l.b].push_back({l.a, l.apart, l.overlap});
        }
        for (std::size_t v = 0; v < problem.vertices.size(); ++v)
            if (problem.vertices[v].free) m_free.push_back(v);
        const auto count = static_cast<std::size_t>(pciCount(problem.technology));
        m_apartAt.resize(count);
        m_reuseAt.resize(count);
    }

    PciPlan run(std::int64_t steps) {
        PciPlan best{improved(built(withoutFree())), {}, false};
        best.cost = pciCostOf(m_p, best.pcis);
        auto kept = improved(built(asPlanned()));
        const PciCost cost = pciCostOf(m_p, kept);
        if (cost <= best.cost) best = {std::move(kept), cost, false};
        if (m_free.size() <= kExactCells) {
            m_best = &best;
            m_steps = steps;
            m_now = withoutFree();
            PciCost base = pciCostOf(m_p, m_now);
            deepen(m_free, base);
            best.proven = m_steps > 0;
        }
        return best;
    }

private:
    struct Neighbour {
        std::size_t vertex;
        bool apart;
        std::int64_t overlap;
    };

    [[nodiscard]] std::vector<std::int32_t> withoutFree() const {
        std::vector<std::int32_t> pcis;
        pcis.reserve(m_p.vertices.size());
        for (const PciVertex& v : m_p.vertices) pcis.push_back(v.free ? -1 : v.pci);
        return pcis;
    }

    // -1 where a free vertex has none, or one that it may not have.
    [[nodiscard]] std::vector<std::int32_t> asPlanned() const {
        std::vector<std::int32_t> pcis;
        pcis.reserve(m_p.vertices.size());
        for (const PciVertex& v : m_p.vertices)
            pcis.push_back(
                v.free && !std::binary_search(m_p.allowed.begin(), m_p.allowed.end(), v.pci) ? -1 : v.pci);
        return pcis;
    }

    // Fills m_costs: what each allowed identity would cost vertex v beside the others as they are.
    void weigh(std::size_t v, const std::vector<std::int32_t>& pcis) {
        std::fill(m_apartAt.begin(), m_apartAt.end(), 0);
        std::fill(m_reuseAt.begin(), m_reuseAt.end(), 0);
        std::array<std::int64_t, 3> by3{};
        std::array<std::int64_t, 4> by4{};
        std::array<std::int64_t, 30> by30{};
        const bool nr = m_p.technology == Technology::nr;
        for (const Neighbour& n : m_links[v]) {
            const std::int32_t q = pcis[n.vertex];
            if (q < 0) continue;
            m_apartAt[static_cast<std::size_t>(q)] += n.apart;
            by3[static_cast<std::size_t>(q % 3)] += kModulo3 * n.overlap;
            by30[static_cast<std::size_t>(q % 30)] += kModulo30 * n.overlap;
            if (nr) by4[static_cast<std::size_t>(q % 4)] += kModulo4 * n.overlap;
        }
        for (std::size_t u = 0; u < pcis.size(); ++u)
            if (u != v && pcis[u] >= 0)
                m_reuseAt[static_cast<std::size_t>(pcis[u])] +=
                    reuseCost(m_p.vertices[u].at, m_p.vertices[v].at);
        for (std::size_t k = 0; k < m_p.allowed.size(); ++k) {
            const auto pci = static_cast<std::size_t>(m_p.allowed[k]);
            m_costs[k] = {m_apartAt[pci], by3[pci % 3] + by30[pci % 30] + by4[pci % 4], m_reuseAt[pci]};
        }
    }

    // Of equals the lowest identity.
    [[nodiscard]] std::size_t cheapest() const {
        return static_cast<std::size_t>(std::min_element(m_costs.begin(), m_costs.end()) - m_costs.begin());
    }

    // The vertex whose neighbours have most identities already, then the one with most to keep apart from.
    [[nodiscard]] std::size_t hardest(const std::vector<std::size_t>& left,
                                      const std::vector<std::int32_t>& pcis) const {
        std::size_t best = 0;
        std::array<std::size_t, 2> most{};
        for (std::size_t k = 0; k < left.size(); ++k) {
            std::set<std::int32_t> seen;
            std::size_t apart = 0;
            for (const Neighbour& n : m_links[left[k]]) {
                apart += n.apart;
                if (n.apart && pcis[n.vertex] >= 0) seen.insert(pcis[n.vertex]);
            }
            const std::array<std::size_t, 2> now{seen.size(), apart};
            if (k == 0 || now > most) {
                most = now;
                best = k;
            }
        }
        return best;
    }

    // Free vertices that have none are given one, the hardest first.
    [[nodiscard]] std::vector<std::int32_t> built(std::vector<std::int32_t> pcis) {
        std::vector<std::size_t> left;
        for (const std::size_t v : m_free)
            if (pcis[v] < 0) left.push_back(v);
        while (!left.empty()) {
            const std::size_t k = hardest(left, pcis);
            weigh(left[k], pcis);
            pcis[left[k]] = m_p.allowed[cheapest()];
            left.erase(left.begin() + static_cast<std::ptrdiff_t>(k));
        }
        return pcis;
    }

    // Moves of one vertex, and exchanges of two that are linked, as long as something gets cheaper.
    std::vector<std::int32_t> improved(std::vector<std::int32_t> pcis) {
        for (int pass = 0; pass < kMostPasses && !m_job.stopped(); ++pass) {
            bool better = false;
            for (const std::size_t v : m_free) better = move(v, pcis) || better;
            for (const PciLink& l : m_p.links) better = exchange(l.a, l.b, pcis) || better;
            if (!better) break;
        }
        return pcis;
    }

    bool move(std::size_t v, std::vector<std::int32_t>& pcis) {
        weigh(v, pcis);
        const auto at = std::lower_bound(m_p.allowed.begin(), m_p.allowed.end(), pcis[v]);
        const std::size_t k = cheapest();
        if (m_costs[k] >= m_costs[static_cast<std::size_t>(at - m_p.allowed.begin())]) return false;
        pcis[v] = m_p.allowed[k];
        return true;
    }

    bool exchange(std::size_t a, std::size_t b, std::vector<std::int32_t>& pcis) {
        if (!m_p.vertices[a].free || !m_p.vertices[b].free || pcis[a] == pcis[b]) return false;
        const PciCost before = costOfTwo(a, b, pcis);
        std::swap(pcis[a], pcis[b]);
        if (costOfTwo(a, b, pcis) < before) return true;
        std::swap(pcis[a], pcis[b]);
        return false;
    }

    // What two vertices cost; their own link counts twice, before and after alike.
    [[nodiscard]] PciCost costOfTwo(std::size_t a, std::size_t b,
                                    const std::vector<std::int32_t>& pcis) const {
        PciCost sum;
        for (const std::size_t v : {a, b}) {
            for (const Neighbour& n : m_links[v]) {
                if (pcis[n.vertex] < 0) continue;
                sum.conflicts += n.apart && pcis[n.vertex] == pcis[v];
                sum.spread += spreadCost(m_p.technology, pcis[n.vertex], pcis[v], n.overlap);
            }
            for (std::size_t u = 0; u < pcis.size(); ++u)
                if (u != v && pcis[u] == pcis[v])
                    sum.reuse += reuseCost(m_p.vertices[u].at, m_p.vertices[v].at);
        }
        return sum;
    }

    // Branch and bound: costs only add up, so that a part that costs as much as the best whole is given up.
    void deepen(const std::vector<std::size_t>& left, const PciCost& soFar) {
        if (soFar >= m_best->cost || m_steps <= 0) return;
        if (left.empty()) {
            m_best->pcis = m_now;
            m_best->cost = soFar;
            return;
        }
        if (--m_steps <= 0 || m_job.stopped()) {
            m_steps = 0;
            return;
        }
        const std::size_t k = hardest(left, m_now);
        const std::size_t v = left[k];
        auto rest = left;
        rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(k));
        weigh(v, m_now);
        for (const auto& [cost, pci] : distinct()) {
            PciCost total = soFar;
            total += cost;
            if (total >= m_best->cost) break;
            m_now[v] = pci;
            deepen(rest, total);
        }
        m_now[v] = -1;
    }

    // Allowed identities by cost. Of those that no cell of the carrier has, one for each remainder stands for
    // all: the others would cost the same whatever the rest is given.
    [[nodiscard]] std::vector<std::pair<PciCost, std::int32_t>> distinct() const {
        const std::set<std::int32_t> used(m_now.begin(), m_now.end());
        std::set<std::int32_t> remainders;
        std::vector<std::pair<PciCost, std::int32_t>> out;
        for (std::size_t k = 0; k < m_p.allowed.size(); ++k) {
            const std::int32_t pci = m_p.allowed[k];
            if (used.count(pci) == 0 && !remainders.insert(pci % 60).second) continue;
            out.emplace_back(m_costs[k], pci);
        }
        std::sort(out.begin(), out.end());
        return out;
    }

    const PciProblem& m_p;
    const Job& m_job;
    std::vector<std::vector<Neighbour>> m_links; ///< by vertex
    std::vector<std::size_t> m_free;
    std::vector<PciCost> m_costs;                   ///< by place in `allowed`, of weigh()
    std::vector<std::int64_t> m_apartAt, m_reuseAt; ///< by identity, of weigh()
    PciPlan* m_best = nullptr;
    std::vector<std::int32_t> m_now;
    std::int64_t m_steps = 0;
};

} // namespace

PciCost pciCostOf(const PciProblem& problem, const std::vector<std::int32_t>& pcis) {
    PciCost sum;
    for (const PciLink& l : problem.links) {
        const std::int32_t a = pcis[l.a], b = pcis[l.b];
        if (a < 0 || b < 0) continue;
        sum.conflicts += l.apart && a == b;
        sum.spread += spreadCost(problem.technology, a, b, l.overlap);
    }
    for (std::size_t v = 0; v < pcis.size(); ++v)
        for (std::size_t u = 0; u < v; ++u)
            if (pcis[v] >= 0 && pcis[u] == pcis[v])
                sum.reuse += reuseCost(problem.vertices[u].at, problem.vertices[v].at);
    return sum;
}

PciPlan planPcis(const PciProblem& problem, std::int64_t steps, const Job& job) {
    return PciSearch(problem, job).run(steps);
}

std::optional<double> leastReuseM(const PciProblem& problem, const std::vector<std::int32_t>& pcis) {
    std::optional<double> least;
    for (std::size_t v = 0; v < pcis.size(); ++v)
        for (std::size_t u = 0; u < v; ++u)
            if (pcis[v] >= 0 && pcis[u] == pcis[v]) {
                const double d = planeDistance(problem.vertices[u].at, problem.vertices[v].at);
                if (!least || d < *least) least = d;
            }
    return least;
}

} // namespace fw
