// SPDX-License-Identifier: GPL-3.0-or-later
// How long a relieved cell holds, in words and as a date.
#pragma once

#include "plan/plan.h"

#include <string>

namespace fw {

/// A century: beyond it, and where traffic does not grow, a cell is said to hold for good.
inline constexpr double kForGoodMonths = 1200;

/// Months from `after` until the trigger is reached again by regrowth of what was relieved and growth; 0 when
/// regrowth alone does it, kForGoodMonths at most. Empty when `after` is over the target.
/// @param after, relieved  shares of the cell's PRB.
std::optional<double> monthsUntilTrigger(double after, double relieved, const ModelSettings& m);

/// "5 months", "1 month", "for good": whole months, rounded down.
std::string monthsText(double months);

/// The month in which the trigger is reached: so many whole months after the cell's load was measured, or
/// after the plan's date where that is not noted. Its day means nothing.
Date holdsTo(const Plan& plan, ItemId cell, double months);

} // namespace fw
