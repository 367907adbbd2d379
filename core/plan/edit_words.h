// SPDX-License-Identifier: GPL-3.0-or-later
// Words of edits; for the makers of edits alone.
#pragma once

#include "plan/plan.h"

#include <string>
#include <vector>

namespace fw {

/// "S-104", "3 mounts" or "4 items" where kinds differ. At least one id.
std::string nameAll(const Plan& plan, const std::vector<ItemId>& ids);

} // namespace fw
