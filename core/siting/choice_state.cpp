// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/choice_state.h"

#include "base/random.h"

#include <algorithm>

namespace fw {
namespace {

constexpr std::int64_t kNoCap = std::numeric_limits<std::int64_t>::max();

// 1 to 1.25, with every fourth salt 1 to 3; the same for a mount throughout one search for the best.
double favour(std::uint64_t salt, std::uint32_t mount) {
    if (salt == 0) return 1;
    return 1 + ((salt >> 1) % 4 == 0 ? 2 : 0.25) * Random(salt ^ (std::uint64_t{mount} << 20)).unit();
}

double scoreOf(ChoiceQuery::By by, std::int64_t gain, std::int64_t cost, double favour) {
    switch (by) {
    case ChoiceQuery::By::gain:
        return favour * static_cast<double>(gain);
    case ChoiceQuery::By::gainPerCost:
        // What costs nothing comes before all else.
        return favour * static_cast<double>(gain) * (cost == 0 ? 1e18 : 1 / static_cast<double>(cost));
    case ChoiceQuery::By::cheapest:
        return -static_cast<double>(cost);
    }
    return 0;
}

// Steps nearer than `apart` to `step`.
StepRange around(std::uint16_t step, std::uint16_t apart, std::uint32_t steps) {
    const std::uint32_t wide = std::min<std::uint32_t>(2u * apart - 1, steps);
    const std::uint32_t from = (step + steps - (apart - 1u) % steps) % steps;
    return {static_cast<std::uint16_t>(from), static_cast<std::uint16_t>(wide)};
}

} // namespace

ChoiceState::ChoiceState(const ChoiceIndex& index, bool capped)
    : m_index(index), m_problem(index.problem()), m_capped(capped), m_steps(index.problem().steps),
      m_cover(m_problem.worth.size()), m_forbidden(m_problem.mounts.size() * m_steps),
      m_delta(index.rows().size() * m_steps), m_gain(m_delta.size()), m_most(index.rows().size()),
      m_dirty(index.rows().size(), 1), m_radios(m_problem.mounts.size()),
      m_inGroup(m_problem.groupLimits.size()), m_reliefOf(m_problem.targets.size()) {
    const auto rows = index.rows();
    for (std::uint32_t r = 0; r < rows.size(); ++r) {
        std::int64_t* row = &m_delta[std::size_t{r} * m_steps];
        for (const auto& run : rows[r].runs) addToRow(row, run.at, m_problem.worth[run.place], m_steps);
        m_stale.push_back(r);
    }
    for (std::size_t m = 0; m < m_problem.mounts.size(); ++m) {
        const auto& allowed = m_problem.mounts[m].allowed;
        for (std::size_t a = 0; a < allowed.size(); ++a)
            if (!allowed[a]) m_forbidden[m * m_steps + a] = 1;
    }
    for (const auto& t : m_problem.targets) m_needed += t.need;
    m_missing = m_capped ? m_needed : 0;
}

template <class F>
void ChoiceState::eachServed(ChoiceOption o, F&& f) const {
    for (const auto& run : m_problem.mounts[o.mount].runs) {
        std::uint32_t off = o.step + m_steps - run.at.from;
        if (off >= m_steps) off -= m_steps;
        if (off < run.at.count) f(run.place);
    }
}

void ChoiceState::shift(std::uint32_t place, std::int64_t by) {
    for (const auto& s : m_index.servers(place)) {
        addToRow(&m_delta[std::size_t{s.row} * m_steps], s.at, by, m_steps);
        if (m_dirty[s.row]) continue;
        m_dirty[s.row] = 1;
        m_stale.push_back(s.row);
    }
}

void ChoiceState::cover(ChoiceOption o, int sign) {
    const auto missingOf = [&](std::uint32_t t) {
        return std::max<std::int64_t>(0, m_problem.targets[t].need - m_reliefOf[t]);
    };
    eachServed(o, [&](std::uint32_t p) {
        const int was = m_cover[p];
        m_cover[p] = static_cast<std::uint16_t>(was + sign);
        if (was + std::min(sign, 0) != 0) return; // covered by others before and after
        const std::int64_t w = m_problem.worth[p];
        const std::uint32_t t = m_problem.target[p];
        const std::int64_t before = missingOf(t);
        m_relief += sign * w;
        m_reliefOf[t] += sign * w;
        if (m_capped) m_missing += missingOf(t) - before;
        shift(p, -sign * w);
    });
}

void ChoiceState::forbid(ChoiceOption o, int sign) {
    const auto mark = [&](std::uint32_t mount, StepRange r) {
        for (std::uint32_t k = 0; k < r.count; ++k) {
            std::uint16_t& n = m_forbidden[std::size_t{mount} * m_steps + (r.from + k) % m_steps];
            n = static_cast<std::uint16_t>(n + sign);
        }
    };
    mark(o.mount, around(o.step, m_problem.mounts[o.mount].apart, m_steps));
    for (const auto& f : m_index.conflicts(o.mount))
        if (inRange(f.mine, o.step, m_steps)) mark(f.other, f.theirs);
}

void ChoiceState::add(ChoiceOption o) {
    m_cost += costToAdd(o.mount);
    ++m_radios[o.mount];
    if (const int g = m_problem.mounts[o.mount].group; g >= 0) ++m_inGroup[static_cast<std::size_t>(g)];
    m_chosen.insert(std::lower_bound(m_chosen.begin(), m_chosen.end(), o), o);
    cover(o, 1);
    forbid(o, 1);
}

void ChoiceState::remove(ChoiceOption o) {
    m_cost -= costOfOne(o.mount);
    --m_radios[o.mount];
    if (const int g = m_problem.mounts[o.mount].group; g >= 0) --m_inGroup[static_cast<std::size_t>(g)];
    m_chosen.erase(std::lower_bound(m_chosen.begin(), m_chosen.end(), o));
    cover(o, -1);
    forbid(o, -1);
}

void ChoiceState::become(const std::vector<ChoiceOption>& to) {
    std::vector<ChoiceOption> gone, come;
    std::set_difference(m_chosen.begin(), m_chosen.end(), to.begin(), to.end(), std::back_inserter(gone));
    std::set_difference(to.begin(), to.end(), m_chosen.begin(), m_chosen.end(), std::back_inserter(come));
    for (const ChoiceOption o : gone) remove(o);
    for (const ChoiceOption o : come) add(o);
}

void ChoiceState::touch(ChoiceOption o, std::vector<std::uint8_t>& mounts) const {
    mounts[o.mount] = 1;
    const auto rows = m_index.rows();
    eachServed(o, [&](std::uint32_t p) {
        for (const auto& s : m_index.servers(p)) mounts[rows[s.row].mount] = 1;
    });
    for (const auto& f : m_index.conflicts(o.mount)) mounts[f.other] = 1;
}

bool ChoiceState::has(ChoiceOption o) const {
    return std::binary_search(m_chosen.begin(), m_chosen.end(), o);
}

std::int64_t ChoiceState::costToAdd(std::uint32_t mount) const {
    const auto& m = m_problem.mounts[mount];
    return m.radioCost + (m_radios[mount] == 0 ? m.siteCost : 0);
}

std::int64_t ChoiceState::costOfOne(std::uint32_t mount) const {
    const auto& m = m_problem.mounts[mount];
    return m.radioCost + (m_radios[mount] == 1 ? m.siteCost : 0);
}

bool ChoiceState::open(std::uint32_t mount) const {
    const auto& m = m_problem.mounts[mount];
    if (m_radios[mount] >= m.radios) return false;
    const auto g = static_cast<std::size_t>(m.group);
    return m.group < 0 || m_inGroup[g] < m_problem.groupLimits[g];
}

bool ChoiceState::eligible(ChoiceOption o) const {
    return open(o.mount) && m_forbidden[std::size_t{o.mount} * m_steps + o.step] == 0;
}

std::vector<ChoiceOption> ChoiceState::inTheWayOf(ChoiceOption o) const {
    const auto& mine = m_problem.mounts[o.mount];
    std::vector<ChoiceOption> out, onMount, inGroup;
    const auto clashes = [&](ChoiceOption c) {
        if (c.mount == o.mount && inRange(around(o.step, mine.apart, m_steps), c.step, m_steps)) return true;
        const auto facing = m_index.conflicts(o.mount);
        return std::any_of(facing.begin(), facing.end(), [&](const auto& f) {
            return f.other == c.mount && inRange(f.mine, o.step, m_steps) &&
                   inRange(f.theirs, c.step, m_steps);
        });
    };
    int radios = m_radios[o.mount],
        members = mine.group < 0 ? 0 : m_inGroup[static_cast<std::size_t>(mine.group)];
    for (const ChoiceOption c : m_chosen) {
        const bool same = c.mount == o.mount,
                   group = mine.group >= 0 && m_problem.mounts[c.mount].group == mine.group;
        if (clashes(c)) {
            out.push_back(c);
            radios -= same;
            members -= group;
        } else if (same) {
            onMount.push_back(c);
        } else if (group) {
            inGroup.push_back(c);
        }
    }
    for (const ChoiceOption c : onMount)
        if (radios >= mine.radios) {
            out.push_back(c);
            --radios;
            --members;
        }
    for (const ChoiceOption c : inGroup)
        if (mine.group >= 0 && members >= m_problem.groupLimits[static_cast<std::size_t>(mine.group)]) {
            out.push_back(c);
            --members;
        }
    return out;
}

std::int64_t ChoiceState::gainOf(ChoiceOption o) const {
    std::int64_t sum = 0;
    eachServed(o, [&](std::uint32_t p) { sum += m_cover[p] == 0 ? m_problem.worth[p] : 0; });
    return sum;
}

void ChoiceState::refresh() {
    for (const std::uint32_t r : m_stale) {
        const std::int64_t* delta = &m_delta[std::size_t{r} * m_steps];
        std::int64_t* gain = &m_gain[std::size_t{r} * m_steps];
        std::int64_t sum = 0, most = 0;
        for (std::uint32_t a = 0; a < m_steps; ++a) {
            gain[a] = sum += delta[a];
            most = std::max(most, sum);
        }
        m_most[r] = most;
        m_dirty[r] = 0;
    }
    m_stale.clear();
}

std::int64_t ChoiceState::capOf(std::uint32_t target, bool uncapped) const {
    if (!m_capped || uncapped) return kNoCap;
    if (m_index.byTarget())
        return std::max<std::int64_t>(0, m_problem.targets[target].need - m_reliefOf[target]);
    return m_missing; // one target alone
}

void ChoiceState::look(std::uint32_t mount, const ChoiceQuery& q, bool uncapped, ChoiceBest& best) {
    const std::int64_t cost = costToAdd(mount);
    if (cost > q.money || !open(mount)) return;
    const auto rows = m_index.rowsOf(mount);
    const std::uint32_t first = m_index.firstRow(mount);
    const double fav = favour(q.salt, mount);
    std::int64_t upper = 0;
    for (std::uint32_t r = 0; r < rows.size(); ++r)
        upper += std::min(m_most[first + r], capOf(rows[r].target, uncapped));
    if (upper < q.atLeast) return;
    if (best.any && scoreOf(q.by, upper, cost, fav) <= best.score) return;
    for (std::uint32_t a = 0; a < m_steps; ++a) {
        if (m_forbidden[std::size_t{mount} * m_steps + a] != 0) continue;
        std::int64_t gain = 0;
        for (std::uint32_t r = 0; r < rows.size(); ++r)
            gain += std::min(m_gain[std::size_t{first + r} * m_steps + a], capOf(rows[r].target, uncapped));
        if (gain < q.atLeast) continue;
        const double score = scoreOf(q.by, gain, cost, fav);
        if (best.any && score <= best.score) continue;
        best = {true, {mount, static_cast<std::uint16_t>(a)}, gain, cost, score};
    }
}

ChoiceBest ChoiceState::bestOf(const ChoiceQuery& q, bool uncapped) {
    refresh();
    ChoiceBest best;
    if (q.only) {
        look(*q.only, q, uncapped, best);
        return best;
    }
    for (std::uint32_t m = 0; m < m_problem.mounts.size(); ++m) look(m, q, uncapped, best);
    return best;
}

ChoiceBest ChoiceState::best(const ChoiceQuery& query) { return bestOf(query, false); }
ChoiceBest ChoiceState::bestUncapped() { return bestOf({}, true); }

std::int64_t ChoiceState::lossOf(ChoiceOption o) const {
    std::int64_t sum = 0;
    eachServed(o, [&](std::uint32_t p) { sum += m_cover[p] == 1 ? m_problem.worth[p] : 0; });
    return sum;
}

std::int64_t ChoiceState::aloneOf(ChoiceOption o) const {
    std::int64_t sum = 0;
    eachServed(o, [&](std::uint32_t p) { sum += m_problem.worth[p]; });
    return sum;
}

} // namespace fw
