// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/result.h"
#include "plan/plan.h"

namespace fw {

/// Whether one item stands on its own: finite numbers, sane ranges (heights 0..500 m, shares 0..1, tilt
/// -90..90 deg, beamwidth 1..360 deg, at least three corners, ...). The sentence names item, field, value and
/// allowed range.
Status validate(const Item& item);
Status validate(const PlanSettings& settings);
/// Whether every id that items name is there and of the right kind; all faults, not the first alone.
std::vector<Error> validateReferences(const Plan& plan);

} // namespace fw
