// SPDX-License-Identifier: GPL-3.0-or-later
// The search for a good set: greedy, exchange moves, iterated local search. Private to core/siting.
#pragma once

#include "base/random.h"
#include "siting/choice_state.h"

namespace fw {

/// How good a set is: first what is missing from the targets, then relief or cost.
struct ChoiceRank {
    std::int64_t missing = 0, relief = 0, cost = 0;
    bool operator==(const ChoiceRank&) const = default;
};

class ChoiceSearch {
public:
    ChoiceSearch(const ChoiceIndex& index, const ChooseOptions& options, const Job& job);

    /// Must-haves, greedy, exchange. Refused where the must-haves cannot stand together.
    Status start();
    /// So many rounds of disturbing and mending; more where lookAt() named few mounts.
    void iterate(int count);
    /// Mounts to disturb most of the time, ascending: where a better set must differ, if there is one.
    void lookAt(const std::vector<std::uint32_t>& mounts);

    [[nodiscard]] const std::vector<ChoiceOption>& best() const { return m_best; } ///< ascending
    [[nodiscard]] const ChoiceRank& rank() const { return m_bestRank; }
    [[nodiscard]] ChoiceState& state() { return m_state; } ///< any set, become() a wanted one first

private:
    [[nodiscard]] bool relieves() const { return m_options.goal == ChoiceGoal::mostRelief; }
    [[nodiscard]] std::int64_t money() const;
    [[nodiscard]] bool better(const ChoiceRank& a, const ChoiceRank& b) const;
    [[nodiscard]] ChoiceRank rankNow() const;
    [[nodiscard]] bool lastOfMust(std::uint32_t mount) const;
    Status placeMusts();
    bool placeFrom(const std::vector<std::uint32_t>& musts, std::size_t k, int& tries, std::size_t& farthest);
    void fill(std::uint64_t salt, ChoiceQuery::By by);
    bool exchange();
    bool cheapen();
    void prune();
    void improve();
    bool disturb();
    void throwOut(std::uint32_t count, bool inDoubt = false);
    [[nodiscard]] std::optional<ChoiceOption> wildCard(bool inDoubt);
    void force(ChoiceOption o);
    bool bringMustsBack();
    void keepBest();
    void addNow(ChoiceOption o);
    void removeNow(ChoiceOption o);

    const ChoiceProblem& m_problem;
    const ChooseOptions& m_options;
    const Job& m_job;
    ChoiceState m_state;
    Random m_random;
    bool m_evenCost; ///< every radio costs the same, so that gain alone decides
    bool m_ruled;    ///< options can be in each other's way
    /// By mount: something near it changed since an exchange of its options was last tried.
    std::vector<std::uint8_t> m_open;
    std::vector<std::uint32_t> m_doubt;    ///< mounts of lookAt()
    std::vector<std::uint8_t> m_isInDoubt; ///< by mount
    std::vector<ChoiceOption> m_best;
    ChoiceRank m_bestRank;
};

} // namespace fw
