// SPDX-License-Identifier: GPL-3.0-or-later
// A set of options under change, with the gain of every other option kept up to date. Private to core/siting.
#pragma once

#include "siting/choice_index.h"
#include "siting/choose.h"

namespace fw {

/// What to look for among options that may be added.
struct ChoiceQuery {
    enum class By : std::uint8_t {
        gain,
        gainPerCost,
        cheapest, ///< of those that gain `atLeast`
    } by = By::gain;
    std::int64_t money = std::numeric_limits<std::int64_t>::max();
    std::int64_t atLeast = 1;          ///< gain; 0 lets useless ones in
    std::optional<std::uint32_t> only; ///< one mount
    std::uint64_t salt = 0; ///< not 0: gains are taken some better than they are, by mount at random
};

struct ChoiceBest {
    bool any = false;
    ChoiceOption option;
    std::int64_t gain = 0, cost = 0;
    double score = 0;
};

class ChoiceState {
public:
    /// @param capped  relief counts up to each target's need, by an index that goes by target.
    ChoiceState(const ChoiceIndex& index, bool capped);

    void add(ChoiceOption o);
    void remove(ChoiceOption o);
    /// Makes the set what `to` (ascending) says.
    void become(const std::vector<ChoiceOption>& to);
    /// Marks all mounts that serve a place this one serves, or stand in conflict with it.
    void touch(ChoiceOption o, std::vector<std::uint8_t>& mounts) const;

    [[nodiscard]] const std::vector<ChoiceOption>& chosen() const { return m_chosen; } ///< ascending
    [[nodiscard]] bool has(ChoiceOption o) const;
    [[nodiscard]] std::int64_t relief() const { return m_relief; }
    [[nodiscard]] std::int64_t cost() const { return m_cost; }
    [[nodiscard]] std::int64_t missing() const { return m_missing; } ///< from the targets' needs; 0 uncapped
    /// What is sought: relief, or relief within needs.
    [[nodiscard]] std::int64_t value() const { return m_capped ? m_needed - m_missing : m_relief; }
    [[nodiscard]] const std::vector<std::int64_t>& reliefOf() const { return m_reliefOf; }
    [[nodiscard]] int radiosOn(std::uint32_t mount) const { return m_radios[mount]; }
    /// What adding to a mount costs now, and what taking one off it saves.
    [[nodiscard]] std::int64_t costToAdd(std::uint32_t mount) const;
    [[nodiscard]] std::int64_t costOfOne(std::uint32_t mount) const;

    /// Not chosen, allowed, in no conflict with those chosen, its mount and group not full.
    [[nodiscard]] bool eligible(ChoiceOption o) const;
    /// Chosen ones that keep it from being added: too near on its mount, in conflict, or, where its mount or
    /// group is full, the first of those.
    [[nodiscard]] std::vector<ChoiceOption> inTheWayOf(ChoiceOption o) const;
    /// Relief it would add, eligible or not.
    [[nodiscard]] std::int64_t gainOf(ChoiceOption o) const;
    /// Best by the query; ties go to the lower mount, then the lower step. Exact: as if all were looked at.
    ChoiceBest best(const ChoiceQuery& query);
    /// The same by relief without caps.
    ChoiceBest bestUncapped();
    /// Relief lost without a chosen option.
    [[nodiscard]] std::int64_t lossOf(ChoiceOption o) const;
    /// Relief of an option on its own.
    [[nodiscard]] std::int64_t aloneOf(ChoiceOption o) const;

private:
    template <class F>
    void eachServed(ChoiceOption o, F&& f) const;
    void cover(ChoiceOption o, int sign);
    void forbid(ChoiceOption o, int sign);
    void shift(std::uint32_t place, std::int64_t by);
    void refresh();
    [[nodiscard]] bool open(std::uint32_t mount) const;
    [[nodiscard]] std::int64_t capOf(std::uint32_t target, bool uncapped) const;
    void look(std::uint32_t mount, const ChoiceQuery& query, bool uncapped, ChoiceBest& best);
    ChoiceBest bestOf(const ChoiceQuery& query, bool uncapped);

    const ChoiceIndex& m_index;
    const ChoiceProblem& m_problem;
    bool m_capped;
    std::uint32_t m_steps;
    std::vector<ChoiceOption> m_chosen;
    std::vector<std::uint16_t> m_cover, m_forbidden; // by place; by mount and step
    std::vector<std::int64_t> m_delta, m_gain;       // by row and step: differences, and their sums
    std::vector<std::int64_t> m_most;                // by row: largest gain
    std::vector<std::uint8_t> m_dirty;               // by row
    std::vector<std::uint32_t> m_stale;              // rows that are dirty
    std::vector<int> m_radios, m_inGroup;
    std::vector<std::int64_t> m_reliefOf;
    std::int64_t m_relief = 0, m_cost = 0, m_missing = 0, m_needed = 0;
};

} // namespace fw
