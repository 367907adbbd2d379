// SPDX-License-Identifier: GPL-3.0-or-later
// Who names whom in a plan that is read from a file.
#pragma once

#include "plan/plan.h"
#include "store/plan_fault.h"

#include <unordered_set>

namespace fw {

/// Tells of references that name nothing or the wrong kind. When the sink goes on, items that hang on nothing
/// are taken out of the plan, and then what hung on those, each told; optional references are emptied.
/// `aside`: items that were left out for faults of their own.
Status settleReferences(Plan& plan, std::unordered_set<std::uint32_t> aside, FaultSink& sink);

} // namespace fw
