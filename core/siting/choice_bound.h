// SPDX-License-Identifier: GPL-3.0-or-later
// A bound of the round-0 objective by Lagrangian relaxation: places get prices, and what an option is worth
// is the prices of what it serves, overlaps forgiven. Private to core/siting.
#pragma once

#include "siting/choice_index.h"
#include "siting/choose.h"

#include <span>

namespace fw {

class ChoiceBound {
public:
    /// @param index  as the search has it. @param options  goal and budget.
    ChoiceBound(const ChoiceIndex& index, const ChooseOptions& options);

    /// Prices to begin with, from a good set.
    void start(const std::vector<ChoiceOption>& set, std::int64_t cost);
    /// So many steps. @param known  the best value so far: what the bound is pulled towards.
    void advance(int steps, std::int64_t known, const Job& job);

    [[nodiscard]] std::optional<std::int64_t> bound() const { return m_bound; }
    [[nodiscard]] const BoundPrices& prices() const { return m_bestPrices; }
    /// Mounts whose part in a better set than `known` the best prices leave open, ascending: of the others
    /// they show that one is in every such set, or in none (groups and second radios left aside: a hint
    /// for the search, no proof). Empty before there is a bound.
    [[nodiscard]] std::vector<std::uint32_t> inDoubt(std::int64_t known) const;

private:
    struct Offer {
        double worth = 0, cost = 0; ///< of the best `radios` options of a mount together
        int radios = 0;
        ChoiceOption first, second;
    };
    [[nodiscard]] bool relieves() const { return m_options.goal == ChoiceGoal::mostRelief; }
    void priceRows();
    void offersOf(std::uint32_t mount, std::vector<Offer>& out);
    void makeOffers();
    /// Sum over mounts of what they bring beyond `money` per cost, within groups; who is taken.
    double inner(double money, std::vector<const Offer*>* taken, double& spent);
    double outer(std::vector<const Offer*>& taken);
    void spendRest(double money, double left, std::vector<const Offer*>& taken);
    void countCover(const std::vector<const Offer*>& taken);
    void step(double value, double known);
    void keep(double value);
    void keepNets();

    const ChoiceIndex& m_index;
    const ChoiceProblem& m_problem;
    const ChooseOptions& m_options;
    std::uint32_t m_steps;
    std::vector<double> m_share; // of worth, by place
    BoundPrices m_prices, m_bestPrices;
    std::vector<std::int64_t> m_worth; // by row and step: prices of what is served
    std::vector<double> m_value;       // of one mount's steps
    std::vector<Offer> m_offers;
    std::vector<std::size_t> m_firstOffer; // by mount
    std::vector<std::int64_t> m_unpriced;  // worth less price, by target
    std::vector<double> m_bestNet;         // by mount, at the best prices: of its best offer beyond its money
    std::vector<std::uint16_t> m_cover;
    std::vector<std::vector<std::pair<double, const Offer*>>> m_groups;
    double m_magnitude = 0, m_money = 0; // of the terms of the last value
    std::optional<std::int64_t> m_bound;
    double m_bestValue = 0, m_pace = 1, m_targetScale = 1;
    int m_idle = 0;
};

} // namespace fw
