// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/choice_search.h"

#include "base/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>

namespace fw {
namespace {

using By = ChoiceQuery::By;

constexpr int kMustTries = 20000;
constexpr int kDrawn = 8; // options looked at for one to be forced in
// Of the rounds after the bound has told which mounts are in doubt, so many disturb these alone: drawn from
// so few, what is forced in need not be picked for its gain.
constexpr double kInDoubt = 0.9;
constexpr int kDrawnInDoubt = 2;
// Where at most one mount in so many is in doubt, rounds are short and a better set near: so many times more.
constexpr std::size_t kFew = 10;
constexpr int kOftener = 2;

bool costsEven(const ChoiceProblem& p) {
    return std::all_of(p.mounts.begin(), p.mounts.end(), [&](const auto& m) {
        return m.siteCost == 0 && m.radioCost == p.mounts.front().radioCost;
    });
}

bool hasRules(const ChoiceProblem& p) {
    return !p.conflicts.empty() || !p.groupLimits.empty() ||
           std::any_of(p.mounts.begin(), p.mounts.end(), [](const auto& m) { return m.must; });
}

std::ptrdiff_t choicesOf(const ChoiceProblem::Mount& m, std::uint16_t steps) {
    return m.allowed.empty()
               ? steps
               : std::count_if(m.allowed.begin(), m.allowed.end(), [](auto a) { return a != 0; });
}

} // namespace

ChoiceSearch::ChoiceSearch(const ChoiceIndex& index, const ChooseOptions& options, const Job& job)
    : m_problem(index.problem()), m_options(options), m_job(job),
      m_state(index, options.goal == ChoiceGoal::reachTargets), m_random(options.seed),
      m_evenCost(costsEven(m_problem)), m_ruled(hasRules(m_problem)), m_open(m_problem.mounts.size(), 1) {}

void ChoiceSearch::addNow(ChoiceOption o) {
    m_state.add(o);
    m_state.touch(o, m_open);
}

void ChoiceSearch::removeNow(ChoiceOption o) {
    m_state.remove(o);
    m_state.touch(o, m_open);
}

std::int64_t ChoiceSearch::money() const {
    return relieves() ? m_options.budget - m_state.cost() : std::numeric_limits<std::int64_t>::max();
}

ChoiceRank ChoiceSearch::rankNow() const { return {m_state.missing(), m_state.relief(), m_state.cost()}; }

bool ChoiceSearch::better(const ChoiceRank& a, const ChoiceRank& b) const {
    if (a.missing != b.missing) return a.missing < b.missing;
    if (relieves()) return a.relief != b.relief ? a.relief > b.relief : a.cost < b.cost;
    return a.cost != b.cost ? a.cost < b.cost : a.relief > b.relief;
}

bool ChoiceSearch::lastOfMust(std::uint32_t mount) const {
    return m_problem.mounts[mount].must && m_state.radiosOn(mount) == 1;
}

// Depth first, the azimuth that gains most first.
bool ChoiceSearch::placeFrom(const std::vector<std::uint32_t>& musts, std::size_t k, int& tries,
                             std::size_t& farthest) {
    if (k == musts.size()) return true;
    farthest = std::max(farthest, k);
    std::vector<std::pair<std::int64_t, ChoiceOption>> open;
    for (std::uint16_t a = 0; a < m_problem.steps; ++a)
        if (const ChoiceOption o{musts[k], a}; m_state.eligible(o)) open.emplace_back(-m_state.gainOf(o), o);
    std::sort(open.begin(), open.end());
    for (const auto& [gain, o] : open) {
        if (--tries < 0) return false;
        m_state.add(o);
        if (placeFrom(musts, k + 1, tries, farthest)) return true;
        m_state.remove(o);
    }
    return false;
}

// Those with the fewest azimuths first: they have the least way out.
Status ChoiceSearch::placeMusts() {
    std::vector<std::uint32_t> musts;
    for (std::uint32_t m = 0; m < m_problem.mounts.size(); ++m)
        if (m_problem.mounts[m].must) musts.push_back(m);
    std::stable_sort(musts.begin(), musts.end(), [&](std::uint32_t a, std::uint32_t b) {
        return choicesOf(m_problem.mounts[a], m_problem.steps) <
               choicesOf(m_problem.mounts[b], m_problem.steps);
    });
    int tries = kMustTries;
    std::size_t farthest = 0;
    if (!placeFrom(musts, 0, tries, farthest))
        return Error{ErrorCode::badInput,
                     CORE_TEXT("is a must-have, but no azimuth of it is allowed beside the other must-haves "
                               "and the limits; let one of them go"),
                     m_problem.mounts[musts[farthest]].name};
    if (relieves() && m_state.cost() > m_options.budget)
        return Error{ErrorCode::badInput,
                     fmt::format("the must-haves alone cost {}, more than the budget of {}", m_state.cost(),
                                 m_options.budget),
                     "choice"};
    return Done{};
}

void ChoiceSearch::fill(std::uint64_t salt, By by) {
    while (relieves() || m_state.missing() > 0) {
        ChoiceQuery q;
        q.by = by;
        q.money = money();
        q.salt = salt;
        const ChoiceBest b = m_state.best(q);
        if (!b.any || m_job.stopped()) return;
        addNow(b.option);
    }
}

// One out, a better one in. Where nothing changed nearby since it was last tried, an exchange is tried again
// only if something elsewhere gains more than is lost.
bool ChoiceSearch::exchange() {
    bool improved = false;
    const auto set = m_state.chosen();
    std::int64_t gainAnywhere = m_state.best({}).gain;
    for (const ChoiceOption o : set) {
        if (m_job.stopped()) return false;
        if (!m_open[o.mount] && m_state.lossOf(o) >= gainAnywhere) continue;
        m_open[o.mount] = 0;
        const bool must = lastOfMust(o.mount);
        const std::int64_t value = m_state.value(), cost = m_state.cost();
        m_state.remove(o);
        ChoiceQuery q;
        q.money = money();
        q.atLeast = value - m_state.value();
        if (must) q.only = o.mount;
        const ChoiceBest b = m_state.best(q);
        const std::int64_t after = m_state.value() + b.gain, spent = m_state.cost() + b.cost;
        if (!b.any || after < value || (after == value && spent >= cost)) {
            m_state.add(o);
            continue;
        }
        m_state.touch(o, m_open);
        addNow(b.option);
        gainAnywhere = m_state.best({}).gain;
        improved = true;
    }
    return improved;
}

// One out, a cheaper one in that misses no more.
bool ChoiceSearch::cheapen() {
    bool improved = false;
    const auto set = m_state.chosen();
    for (const ChoiceOption o : set) {
        if (m_job.stopped()) return false;
        if (m_evenCost && m_state.missing() == 0) return improved; // nothing can be cheaper one for one
        const bool must = lastOfMust(o.mount);
        const std::int64_t missing = m_state.missing(), cost = m_state.cost();
        m_state.remove(o);
        ChoiceQuery q;
        q.by = By::cheapest;
        q.atLeast = m_state.missing() - missing;
        if (must) q.only = o.mount;
        const ChoiceBest b = m_state.best(q);
        if (!b.any || m_state.cost() + b.cost >= cost) {
            m_state.add(o);
            continue;
        }
        m_state.touch(o, m_open);
        addNow(b.option);
        improved = true;
    }
    return improved;
}

// What can go without being missed goes, the dearest first.
void ChoiceSearch::prune() {
    auto set = m_state.chosen();
    std::stable_sort(set.begin(), set.end(), [&](ChoiceOption a, ChoiceOption b) {
        return m_state.costOfOne(a.mount) > m_state.costOfOne(b.mount);
    });
    for (const ChoiceOption o : set) {
        if (lastOfMust(o.mount)) continue;
        const std::int64_t value = m_state.value();
        if (m_state.lossOf(o) > 0 && relieves()) continue;
        m_state.remove(o);
        if (m_state.value() < value)
            m_state.add(o);
        else
            m_state.touch(o, m_open);
    }
}

void ChoiceSearch::improve() {
    const By by = m_evenCost ? By::gain : By::gainPerCost;
    for (bool again = true; again && !m_job.stopped();) {
        if (relieves()) {
            again = exchange();
            fill(0, by);
        } else {
            again = m_state.missing() > 0 && exchange();
            fill(0, by);
            prune();
            again = cheapen() || again;
        }
    }
    prune();
}

void ChoiceSearch::keepBest() {
    if (!m_best.empty() && !better(rankNow(), m_bestRank)) return;
    m_best = m_state.chosen();
    m_bestRank = rankNow();
}

Status ChoiceSearch::start() {
    if (auto s = placeMusts(); !s) return s;
    const auto musts = m_state.chosen();
    fill(0, m_evenCost ? By::gain : By::gainPerCost);
    improve();
    keepBest();
    if (!m_evenCost && relieves()) { // dear ones first may fit a budget better
        m_state.become(musts);
        fill(0, By::gain);
        improve();
        keepBest();
        m_state.become(m_best);
    }
    return Done{};
}

void ChoiceSearch::lookAt(const std::vector<std::uint32_t>& mounts) {
    m_doubt = mounts;
    m_isInDoubt.assign(m_problem.mounts.size(), 0);
    for (const std::uint32_t m : mounts) m_isInDoubt[m] = 1;
}

void ChoiceSearch::throwOut(std::uint32_t count, bool inDoubt) {
    auto set = m_state.chosen();
    if (inDoubt) std::erase_if(set, [&](ChoiceOption o) { return m_isInDoubt[o.mount] == 0; });
    for (std::uint32_t k = 0; k < count && !set.empty(); ++k) {
        const std::size_t i = m_random.below(static_cast<std::uint32_t>(set.size()));
        const ChoiceOption o = set[i];
        set.erase(set.begin() + static_cast<std::ptrdiff_t>(i));
        if (!lastOfMust(o.mount)) removeNow(o);
    }
}

// Of a few options drawn at random the one that gains most, in the way of others or not.
std::optional<ChoiceOption> ChoiceSearch::wildCard(bool inDoubt) {
    std::optional<ChoiceOption> out;
    std::int64_t most = -1;
    for (int k = 0; k < (inDoubt ? kDrawnInDoubt : kDrawn); ++k) {
        const auto all = static_cast<std::uint32_t>(inDoubt ? m_doubt.size() : m_problem.mounts.size());
        const std::uint32_t drawn = m_random.below(all);
        const ChoiceOption o{inDoubt ? m_doubt[drawn] : drawn,
                             static_cast<std::uint16_t>(m_random.below(m_problem.steps))};
        const auto& mount = m_problem.mounts[o.mount];
        if (mount.radios < 1 || (!mount.allowed.empty() && !mount.allowed[o.step]) || m_state.has(o))
            continue;
        const std::int64_t gain = m_state.gainOf(o);
        if (gain <= most) continue;
        most = gain;
        out = o;
    }
    return out;
}

// Takes an option in and puts out what stands in its way, must-haves too: they come back elsewhere.
void ChoiceSearch::force(ChoiceOption o) {
    for (const ChoiceOption other : m_state.inTheWayOf(o)) removeNow(other);
    for (int k = 0; k < kDrawn && m_state.cost() + m_state.costToAdd(o.mount) > m_options.budget; ++k)
        throwOut(1);
    if (m_state.eligible(o) && m_state.costToAdd(o.mount) <= money()) addNow(o);
}

// Each at its best azimuth, or at any: the best of one may be what keeps the rest out.
bool ChoiceSearch::bringMustsBack() {
    for (std::uint32_t m = 0; m < m_problem.mounts.size(); ++m) {
        if (!m_problem.mounts[m].must || m_state.radiosOn(m) > 0) continue;
        std::vector<ChoiceOption> open;
        for (std::uint16_t a = 0; a < m_problem.steps; ++a)
            if (m_state.eligible({m, a})) open.push_back({m, a});
        if (open.empty() || m_state.costToAdd(m) > money()) return false;
        ChoiceQuery q;
        q.only = m;
        q.atLeast = 0;
        const bool any = m_random.chance(0.5);
        addNow(any ? open[m_random.below(static_cast<std::uint32_t>(open.size()))] : m_state.best(q).option);
    }
    return true;
}

// False when must-haves no longer find room.
bool ChoiceSearch::disturb() {
    if (m_ruled && m_random.chance(0.15)) { // rules can part good sets too far for small steps
        for (const ChoiceOption o : std::vector(m_state.chosen())) removeNow(o);
    } else {
        const bool inDoubt = !m_doubt.empty() && m_random.chance(kInDoubt);
        const auto most = static_cast<std::uint32_t>(std::min<std::size_t>(6, m_state.chosen().size()));
        if (most > 0) throwOut(1 + m_random.below(most), inDoubt);
        for (int k = 0; k < (inDoubt ? 2 : 1); ++k)
            if (m_random.chance(inDoubt ? 0.5 : 0.4))
                if (const auto o = wildCard(inDoubt)) force(*o);
    }
    if (!bringMustsBack()) return false;
    const bool byGain = m_evenCost || m_random.chance(0.5);
    fill(m_random.next() | 1, byGain ? By::gain : By::gainPerCost);
    return true;
}

void ChoiceSearch::iterate(int count) {
    if (!m_doubt.empty() && m_doubt.size() <= m_problem.mounts.size() / kFew) count *= kOftener;
    for (int k = 0; k < count && !m_job.stopped(); ++k) {
        const auto before = m_state.chosen();
        const ChoiceRank rank = rankNow();
        const bool whole = disturb();
        if (whole) improve();
        if (!whole || better(rank, rankNow()))
            m_state.become(before);
        else
            keepBest();
    }
}

} // namespace fw
