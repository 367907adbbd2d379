// SPDX-License-Identifier: GPL-3.0-or-later
// A session as the window leads it, without a window: a plan, its file, its journal, undo and redo.
#pragma once

#include "store/counted_file.h"
#include "store/crash_journal.h"
#include "support/random_plan.h"

#include <filesystem>
#include <stdexcept>
#include <vector>

namespace fw::testing {

inline RandomPlanSpec smallSpec() {
    RandomPlanSpec spec;
    spec.buildings = 12;
    spec.sites = 1;
    spec.mounts = 3;
    spec.trees = 5;
    return spec;
}
inline Plan smallPlan(std::uint64_t seed) {
    Random random(seed);
    return randomPlan(random, smallSpec());
}

/// Seeded work on a plan. What is done depends on the seed and the number of steps alone.
class Work {
public:
    Work(Plan plan, std::uint64_t seed) : m_plan(std::move(plan)), m_random(seed) {}

    [[nodiscard]] const Plan& plan() const { return m_plan; }

    /// Does one step, an edit, an undo or a redo, and gives what was applied.
    Edit step() {
        const double dice = m_random.unit();
        if (dice < 0.2 && !m_undo.empty()) return turn(m_undo, m_redo);
        if (dice < 0.3 && !m_redo.empty()) return turn(m_redo, m_undo);
        Edit edit = randomEdit(m_plan, m_random, static_cast<EditKind>(m_random.below(kEditKinds)));
        m_redo.clear();
        m_undo.push_back(applied(edit));
        return edit;
    }

private:
    Edit applied(const Edit& edit) {
        auto inverse = apply(m_plan, edit);
        if (!inverse) throw std::runtime_error(inverse.error().sentence());
        return std::move(*inverse);
    }
    Edit turn(std::vector<Edit>& from, std::vector<Edit>& to) {
        Edit edit = std::move(from.back());
        from.pop_back();
        to.push_back(applied(edit));
        return edit;
    }

    Plan m_plan;
    Random m_random;
    std::vector<Edit> m_undo, m_redo;
};

} // namespace fw::testing
