// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "plan/plan.h"

#include <vector>

namespace fw {

/// One item that differs between two plans.
struct Difference {
    Kind kind;
    ItemId id;
    enum class What : std::uint8_t { added, removed, changed } what;
    bool operator==(const Difference&) const = default;
};

struct PlanDiff {
    bool settings = false;
    std::vector<Difference> items; ///< ascending by kind, then id
    [[nodiscard]] bool empty() const { return !settings && items.empty(); }
};

/// Chunks that both plans share are passed over by pointer: the cost goes with what changed, not with the
/// plan. The one source of what is stale for study, map, tables and save.
PlanDiff diff(const Plan& before, const Plan& after);

} // namespace fw
