// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "plan/plan.h"

#include <optional>

namespace fw {

/// Where an item is to be looked for on the map: its point, the middle of its outline or line, or the place
/// of what it hangs on. Empty for what has no place (a variant, a waiver).
std::optional<PlanePoint> placeOf(const Plan& plan, ItemId item);

} // namespace fw
