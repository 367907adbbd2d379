// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/choice_bound.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace fw {
namespace {

// What rounding of doubles can come to, as a share of all terms: far more than thousands of sums lose.
constexpr double kSlack = 1e-10;
constexpr double kBeyondAll = 4e18; // as far as a bound is counted, on either side of nothing
constexpr int kMoneyHalvings = 60;
constexpr int kPatience = 12; // steps without a better bound after which the pace is halved

std::int64_t priceOf(double share, std::int64_t worth) {
    return std::clamp<std::int64_t>(std::llround(share * static_cast<double>(worth)), 0, worth);
}

} // namespace

ChoiceBound::ChoiceBound(const ChoiceIndex& index, const ChooseOptions& options)
    : m_index(index), m_problem(index.problem()), m_options(options), m_steps(m_problem.steps),
      m_share(m_problem.worth.size(), 1), m_worth(index.rows().size() * m_steps), m_value(m_steps),
      m_unpriced(index.targetCount()), m_cover(m_problem.worth.size()),
      m_groups(m_problem.groupLimits.size()) {
    m_prices.place = m_problem.worth;
    m_prices.target.assign(index.targetCount(), 1);
}

void ChoiceBound::start(const std::vector<ChoiceOption>& set, std::int64_t cost) {
    for (const ChoiceOption o : set)
        for (const auto& run : m_problem.mounts[o.mount].runs)
            if (inRange(run.at, o.step, m_steps)) ++m_cover[run.place];
    for (std::size_t p = 0; p < m_share.size(); ++p) {
        if (m_cover[p] > 1) m_share[p] = 1.0 / m_cover[p];
        m_prices.place[p] = priceOf(m_share[p], m_problem.worth[p]);
    }
    if (relieves()) return;
    double need = 0;
    for (const auto& t : m_problem.targets) need += static_cast<double>(t.need);
    if (need > 0) m_targetScale = std::max<double>(1, static_cast<double>(cost)) / need;
    m_prices.target.assign(m_index.targetCount(), m_targetScale);
}

// Sums of prices by row and step; whole numbers, so that prefix sums lose nothing.
void ChoiceBound::priceRows() {
    std::fill(m_worth.begin(), m_worth.end(), 0);
    const auto rows = m_index.rows();
    for (std::size_t r = 0; r < rows.size(); ++r) {
        std::int64_t* row = &m_worth[r * m_steps];
        for (const auto& run : rows[r].runs) addToRow(row, run.at, m_prices.place[run.place], m_steps);
        for (std::uint32_t a = 1; a < m_steps; ++a) row[a] += row[a - 1];
    }
}

void ChoiceBound::offersOf(std::uint32_t mount, std::vector<Offer>& out) {
    const auto& m = m_problem.mounts[mount];
    const auto rows = m_index.rowsOf(mount);
    const std::size_t first = std::size_t{m_index.firstRow(mount)} * m_steps;
    const auto open = [&](std::uint32_t a) { return m.allowed.empty() || m.allowed[a] != 0; };
    int best = -1;
    for (std::uint32_t a = 0; a < m_steps; ++a) {
        m_value[a] = 0;
        for (std::size_t r = 0; r < rows.size(); ++r)
            m_value[a] +=
                m_prices.target[rows[r].target] * static_cast<double>(m_worth[first + r * m_steps + a]);
        if (open(a) && (best < 0 || m_value[a] > m_value[static_cast<std::size_t>(best)]))
            best = static_cast<int>(a);
    }
    if (best < 0 || m.radios < 1) return;
    const auto at = static_cast<std::uint16_t>(best);
    const auto site = static_cast<double>(m.siteCost), radio = static_cast<double>(m.radioCost);
    const double one = m_value[at];
    out.push_back({one, site + radio, 1, {mount, at}, {mount, at}});
    if (m.radios < 2) return;
    Offer two{-1, site + 2 * radio, 2, {}, {}};
    for (std::uint32_t a = 0; a < m_steps; ++a)
        for (std::uint32_t b = a + m.apart; b < m_steps && b + m.apart <= a + m_steps; ++b)
            if (open(a) && open(b) && m_value[a] + m_value[b] > two.worth) {
                two.worth = m_value[a] + m_value[b];
                two.first = {mount, static_cast<std::uint16_t>(a)};
                two.second = {mount, static_cast<std::uint16_t>(b)};
            }
    if (two.worth < 0) return;
    out.push_back(two);
    // Of more than two never more than what their pairs are worth.
    for (int n = 3; n <= m.radios; ++n) {
        Offer more = two;
        more.radios = n;
        more.worth = (n / 2) * two.worth + (n % 2) * one;
        more.cost = site + n * radio;
        out.push_back(more);
    }
}

void ChoiceBound::makeOffers() {
    m_offers.clear();
    m_firstOffer.clear();
    for (std::uint32_t m = 0; m < m_problem.mounts.size(); ++m) {
        m_firstOffer.push_back(m_offers.size());
        offersOf(m, m_offers);
    }
    m_firstOffer.push_back(m_offers.size());
}

double ChoiceBound::inner(double money, std::vector<const Offer*>* taken, double& spent) {
    double sum = 0;
    spent = m_magnitude = 0;
    for (auto& g : m_groups) g.clear();
    const auto take = [&](double net, const Offer& o) {
        sum += net;
        spent += o.cost;
        m_magnitude += o.worth + money * o.cost;
        if (taken) taken->push_back(&o);
    };
    std::vector<int> room(m_problem.groupLimits.begin(), m_problem.groupLimits.end());
    for (std::uint32_t m = 0; m < m_problem.mounts.size(); ++m) {
        const Offer* best = nullptr;
        double net = 0;
        for (std::size_t k = m_firstOffer[m]; k < m_firstOffer[m + 1]; ++k) {
            const double n = m_offers[k].worth - money * m_offers[k].cost;
            if (n > net || (!best && m_problem.mounts[m].must)) {
                best = &m_offers[k];
                net = n;
            }
        }
        if (!best) continue;
        const int g = m_problem.mounts[m].group;
        if (g >= 0 && m_problem.mounts[m].must) --room[static_cast<std::size_t>(g)];
        if (g >= 0 && !m_problem.mounts[m].must)
            m_groups[static_cast<std::size_t>(g)].emplace_back(net, best);
        else
            take(net, *best);
    }
    for (std::size_t g = 0; g < m_groups.size(); ++g) {
        auto& list = m_groups[g];
        const auto keep = std::min(list.size(), static_cast<std::size_t>(std::max(0, room[g])));
        std::stable_sort(list.begin(), list.end(),
                         [](const auto& a, const auto& b) { return a.first > b.first; });
        for (std::size_t k = 0; k < keep; ++k) take(list[k].first, *list[k].second);
    }
    return sum;
}

// The bound at the present prices of places, the price of money at its best.
double ChoiceBound::outer(std::vector<const Offer*>& taken) {
    double spent = 0;
    if (!relieves()) {
        m_money = 1;
        double sum = -inner(1, &taken, spent);
        double fixed = m_magnitude;
        for (std::size_t t = 0; t < m_unpriced.size(); ++t) {
            const auto need = static_cast<double>(m_problem.targets[t].need);
            sum += m_prices.target[t] * (need - static_cast<double>(m_unpriced[t]));
            fixed += m_prices.target[t] * (need + static_cast<double>(m_unpriced[t]));
        }
        m_magnitude = fixed;
        return sum;
    }
    const auto free = static_cast<double>(m_unpriced[0]);
    const bool limited = m_options.budget <= kChoiceMost;
    const auto budget = limited ? static_cast<double>(m_options.budget) : 0.0;
    double low = 0, high = 0;
    inner(0, nullptr, spent);
    if (limited && spent > budget) {
        for (const Offer& o : m_offers) high = std::max(high, o.cost > 0 ? o.worth / o.cost : 0.0);
        for (int k = 0; k < kMoneyHalvings; ++k) {
            const double mid = (low + high) / 2;
            inner(mid, nullptr, spent);
            (spent > budget ? low : high) = mid;
        }
    }
    m_money = high;
    const double sum = inner(high, &taken, spent);
    m_magnitude += free + high * budget;
    if (low < high) spendRest(low, budget - spent, taken);
    return free + high * budget + sum;
}

// Offers that are just not worth their money: which of them are taken does not alter the bound, but a step
// needs to see the whole budget spent.
void ChoiceBound::spendRest(double money, double left, std::vector<const Offer*>& taken) {
    std::vector<const Offer*> more;
    double spent = 0;
    const double magnitude = m_magnitude;
    inner(money, &more, spent);
    m_magnitude = magnitude;
    std::vector<std::uint8_t> have(m_problem.mounts.size());
    for (const Offer* o : taken) have[o->first.mount] = 1;
    for (const Offer* o : more) {
        if (have[o->first.mount] || o->cost > left) continue;
        left -= o->cost;
        taken.push_back(o);
    }
}

void ChoiceBound::countCover(const std::vector<const Offer*>& taken) {
    std::fill(m_cover.begin(), m_cover.end(), std::uint16_t{0});
    const auto count = [&](ChoiceOption o) {
        for (const auto& run : m_problem.mounts[o.mount].runs) {
            std::uint32_t off = o.step + m_steps - run.at.from;
            if (off >= m_steps) off -= m_steps;
            if (off < run.at.count) ++m_cover[run.place];
        }
    };
    for (const Offer* o : taken) {
        count(o->first);
        if (o->radios > 1) count(o->second);
    }
}

void ChoiceBound::keep(double value) {
    const double slack = kSlack * m_magnitude;
    // Where no set reaches the targets the bound grows beyond all measure.
    const double whole = relieves() ? std::floor(value + slack) : std::max(0.0, std::ceil(value - slack));
    const auto bound = static_cast<std::int64_t>(std::clamp(whole, -kBeyondAll, kBeyondAll));
    const bool first = !m_bound;
    const bool gained = first || (relieves() ? value < m_bestValue : value > m_bestValue);
    if (!gained) {
        if (++m_idle >= kPatience) {
            m_idle = 0;
            m_pace /= 2;
        }
        return;
    }
    m_idle = 0;
    m_bestValue = value;
    if (first || (relieves() ? bound < *m_bound : bound > *m_bound)) {
        m_bound = bound;
        m_prices.money = m_money;
        m_bestPrices = m_prices;
        keepNets();
    }
}

void ChoiceBound::keepNets() {
    m_bestNet.assign(m_problem.mounts.size(), -std::numeric_limits<double>::infinity());
    for (std::size_t m = 0; m < m_bestNet.size(); ++m)
        for (std::size_t k = m_firstOffer[m]; k < m_firstOffer[m + 1]; ++k)
            m_bestNet[m] = std::max(m_bestNet[m], m_offers[k].worth - m_money * m_offers[k].cost);
}

std::vector<std::uint32_t> ChoiceBound::inDoubt(std::int64_t known) const {
    std::vector<std::uint32_t> out;
    if (!m_bound) return out;
    const double gap = std::fabs(static_cast<double>(*m_bound - known));
    for (std::uint32_t m = 0; m < m_bestNet.size(); ++m)
        if (std::fabs(m_bestNet[m]) <= gap) out.push_back(m);
    return out;
}

// Prices of what is bought more than once fall, of what nobody buys rise, each in shares of its worth.
void ChoiceBound::step(double value, double known) {
    double square = 0;
    std::vector<double> pull(relieves() ? 0 : m_prices.target.size());
    for (std::uint32_t p = 0; p < m_share.size(); ++p) {
        const double g = 1.0 - m_cover[p];
        const std::uint32_t t = m_index.targetOf(p);
        if (!relieves()) pull[t] -= m_cover[p] * static_cast<double>(m_prices.place[p]);
        if (g == 0 || (g > 0 && m_share[p] >= 1) || (g < 0 && m_share[p] <= 0)) continue;
        square += m_prices.target[t] * static_cast<double>(m_problem.worth[p]) * g * g;
    }
    for (std::size_t t = 0; t < pull.size(); ++t) {
        const auto need = static_cast<double>(m_problem.targets[t].need);
        pull[t] = need > 0 ? (pull[t] + need - static_cast<double>(m_unpriced[t])) / need : 0;
        square += pull[t] * pull[t] * m_targetScale * need;
    }
    if (square <= 0) return;
    const double by = m_pace * std::fabs(value - known) / square;
    for (std::size_t p = 0; p < m_share.size(); ++p) {
        if (m_cover[p] == 1) continue;
        m_share[p] = std::clamp(m_share[p] + by * (1.0 - m_cover[p]), 0.0, 1.0);
        m_prices.place[p] = priceOf(m_share[p], m_problem.worth[p]);
    }
    for (std::size_t t = 0; t < pull.size(); ++t)
        m_prices.target[t] = std::max(0.0, m_prices.target[t] + by * pull[t] * m_targetScale);
}

void ChoiceBound::advance(int steps, std::int64_t known, const Job& job) {
    std::vector<const Offer*> taken;
    for (int k = 0; k < steps && !job.stopped(); ++k) {
        if (m_bound && *m_bound == known) return; // proven: no better can be asked for
        priceRows();
        std::fill(m_unpriced.begin(), m_unpriced.end(), 0);
        for (std::uint32_t p = 0; p < m_share.size(); ++p)
            m_unpriced[m_index.targetOf(p)] += m_problem.worth[p] - m_prices.place[p];
        makeOffers();
        taken.clear();
        const double value = outer(taken);
        keep(value);
        countCover(taken);
        step(value, static_cast<double>(known));
    }
}

} // namespace fw
