// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/choice_index.h"

#include <algorithm>

namespace fw {

ChoiceIndex::ChoiceIndex(const ChoiceProblem& problem, bool byTarget)
    : m_problem(problem), m_byTarget(byTarget && problem.targets.size() > 1),
      m_facing(problem.mounts.size()) {
    makeRows();
    makeServers();
    for (const auto& c : problem.conflicts) {
        m_facing[c.a].push_back({c.b, c.atA, c.atB});
        m_facing[c.b].push_back({c.a, c.atB, c.atA});
    }
}

void ChoiceIndex::makeRows() {
    const auto& mounts = m_problem.mounts;
    m_firstRow.reserve(mounts.size() + 1);
    if (m_byTarget) {
        std::size_t all = 0;
        for (const auto& m : mounts) all += m.runs.size();
        m_sorted.reserve(all); // rows point into it
    }
    for (std::uint32_t k = 0; k < mounts.size(); ++k) {
        m_firstRow.push_back(static_cast<std::uint32_t>(m_rows.size()));
        if (!m_byTarget) {
            m_rows.push_back({k, 0, mounts[k].runs});
            continue;
        }
        const std::size_t from = m_sorted.size();
        m_sorted.insert(m_sorted.end(), mounts[k].runs.begin(), mounts[k].runs.end());
        const auto begin = m_sorted.begin() + static_cast<std::ptrdiff_t>(from);
        std::stable_sort(begin, m_sorted.end(),
                         [&](const auto& a, const auto& b) { return targetOf(a.place) < targetOf(b.place); });
        for (std::size_t i = from, end = 0; i < m_sorted.size(); i = end) {
            const std::uint32_t t = targetOf(m_sorted[i].place);
            for (end = i; end < m_sorted.size() && targetOf(m_sorted[end].place) == t;) ++end;
            m_rows.push_back({k, t, std::span<const ChoiceProblem::Run>(m_sorted.data() + i, end - i)});
        }
    }
    m_firstRow.push_back(static_cast<std::uint32_t>(m_rows.size()));
}

void ChoiceIndex::makeServers() {
    m_firstServer.assign(m_problem.worth.size() + 2, 0);
    for (const ChoiceRow& row : m_rows)
        for (const auto& run : row.runs) ++m_firstServer[run.place + 2];
    for (std::size_t i = 2; i < m_firstServer.size(); ++i) m_firstServer[i] += m_firstServer[i - 1];
    m_servers.resize(m_firstServer.back());
    for (std::uint32_t r = 0; r < m_rows.size(); ++r)
        for (const auto& run : m_rows[r].runs) m_servers[m_firstServer[run.place + 1]++] = {r, run.at};
    m_firstServer.pop_back();
}

} // namespace fw
