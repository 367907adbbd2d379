// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "gpkg/sqlite.h"
#include "plan/plan.h"
#include "store/plan_fault.h"

#include <vector>

namespace fw {

/// Takes the faults out of a copy of a plan file, in one transaction; what other programs added stays. `plan`
/// is what was sound in it. For faults without Mend::rebuild.
Status amend(Database& copy, const Plan& plan, const std::vector<PlanFault>& faults);

} // namespace fw
