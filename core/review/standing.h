// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "plan/plan.h"
#include "review/finding.h"

#include <functional>
#include <vector>

namespace fw {

/// Whether a finding measures worse than its waiver did by more than `slack` of its unit, or has come under a
/// graver grade's limit, or over to the other side of a window, or measures something else than on that day.
/// Which way is worse follows from the side of the limit on which the finding stood.
bool worseThanKept(const Finding& finding, const Waiver& waiver, const std::vector<Quantity>& slack);

/// Gives every finding its standing from the waivers of the active variant (key: rule, subjects ascending,
/// variant; of two alike the higher id holds).
/// @param slackOf  by rule id.
/// @return waivers of the variant that no finding answers to, ascending.
std::vector<ItemId>
applyWaivers(const Plan& plan, std::vector<Finding>& findings,
             const std::function<const std::vector<Quantity>&(const std::string&)>& slackOf);

} // namespace fw
