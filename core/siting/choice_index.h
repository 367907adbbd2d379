// SPDX-License-Identifier: GPL-3.0-or-later
// A problem made ready for searching: who serves a place, and each mount's runs by target. Private to
// core/siting.
#pragma once

#include "siting/choice_problem.h"

#include <span>

namespace fw {

/// Gains of one mount for one target are one row; a problem searched for relief alone has a row a mount.
struct ChoiceRow {
    std::uint32_t mount = 0, target = 0;
    std::span<const ChoiceProblem::Run> runs;
};

class ChoiceIndex {
public:
    /// @param byTarget  a row for each mount and target; false: all targets count as one.
    ChoiceIndex(const ChoiceProblem& problem, bool byTarget);
    ChoiceIndex(const ChoiceIndex&) = delete;
    ChoiceIndex& operator=(const ChoiceIndex&) = delete;

    struct Server {
        std::uint32_t row = 0;
        StepRange at;
    };
    struct Facing {
        std::uint32_t other = 0;
        StepRange mine, theirs;
    };

    [[nodiscard]] const ChoiceProblem& problem() const { return m_problem; }
    [[nodiscard]] bool byTarget() const { return m_byTarget; }
    [[nodiscard]] std::span<const ChoiceRow> rows() const { return m_rows; }
    [[nodiscard]] std::span<const ChoiceRow> rowsOf(std::uint32_t mount) const {
        return std::span(m_rows).subspan(m_firstRow[mount], m_firstRow[mount + 1] - m_firstRow[mount]);
    }
    [[nodiscard]] std::uint32_t firstRow(std::uint32_t mount) const { return m_firstRow[mount]; }
    [[nodiscard]] std::span<const Server> servers(std::uint32_t place) const {
        return std::span(m_servers).subspan(m_firstServer[place],
                                            m_firstServer[place + 1] - m_firstServer[place]);
    }
    [[nodiscard]] std::span<const Facing> conflicts(std::uint32_t mount) const { return m_facing[mount]; }
    /// Target of a place as rows have it: 0 for all unless byTarget().
    [[nodiscard]] std::uint32_t targetOf(std::uint32_t place) const {
        return m_byTarget ? m_problem.target[place] : 0;
    }
    [[nodiscard]] std::size_t targetCount() const { return m_byTarget ? m_problem.targets.size() : 1; }

private:
    void makeRows();
    void makeServers();

    const ChoiceProblem& m_problem;
    bool m_byTarget;
    std::vector<ChoiceProblem::Run>
        m_sorted; // runs by mount, target, place; empty when rows show the problem's
    std::vector<ChoiceRow> m_rows;
    std::vector<std::uint32_t> m_firstRow, m_firstServer;
    std::vector<Server> m_servers;
    std::vector<std::vector<Facing>> m_facing;
};

/// Adds `by` to a range of a row kept as differences round the circle: entry 0 is the value at step 0.
inline void addToRow(std::int64_t* row, StepRange r, std::int64_t by, std::uint32_t steps) {
    if (r.count == steps) {
        row[0] += by;
        return;
    }
    row[r.from] += by;
    const std::uint32_t end = static_cast<std::uint32_t>(r.from) + r.count;
    if (end > steps) {
        row[0] += by;
        row[end - steps] -= by;
    } else if (end < steps) {
        row[end] -= by;
    }
}

} // namespace fw
