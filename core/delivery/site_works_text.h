// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "delivery/site_sheet.h"

namespace fw {

/// What the plan holds of backhaul, power, earth, timing and works, one line each; what it does not hold is
/// said to be missing, never guessed. Distances to fibre points and power taps are straight, with the route
/// taken as 1.3 times that [prac].
std::vector<NamedText> worksTexts(const Plan& plan, const Frame& frame, const Mount& mount,
                                  const SiteWorks* works);

/// Works of a mount, or null.
const SiteWorks* worksOf(const Plan& plan, ItemId mount);

} // namespace fw
