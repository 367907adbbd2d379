// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/result.h"
#include "plan/plan.h"

namespace fw {

/// Ids above this are refused, so that the next one never wraps round to "none".
inline constexpr std::uint32_t kHighestId = 4000000000u;

/// Whether one item stands on its own: finite numbers, sane ranges (antenna heights 0..500 m, shares 0..1,
/// tilt -90..90 deg, beamwidth 1..360 deg, at least three corners, outer rings anticlockwise, ...). The
/// sentence names item, field, value and allowed range.
Status validate(const Item& item);
/// The same for one of many, without a copy.
Status validate(const Building& building);
Status validate(const PlanSettings& settings);
/// Whether every id that items name is there and of the right kind; all faults, not the first alone.
std::vector<Error> validateReferences(const Plan& plan);

/// Whether one reference holds; `label` is the item that names it, for the sentence.
struct Reference;
Status checkReference(const Plan& plan, const Reference& ref, const std::string& label);
Reference activeVariantOf(const PlanSettings& settings);

} // namespace fw
