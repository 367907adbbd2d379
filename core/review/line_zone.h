// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "review/limits.h"

#include <optional>

namespace fw {

/// Distance seen from above (m) that a mount keeps from an overhead line: the working zone of ladder, pole
/// and tools, and a clearance by voltage. Unknown voltage counts as the highest clearance of the table.
/// Planning guidance only: local codes, the line owner's rules and licensed practice come first.
double lineZoneM(const Limits& limits, std::optional<double> kilovolts);
/// The widest of them.
double widestLineZoneM(const Limits& limits);

} // namespace fw
