// SPDX-License-Identifier: GPL-3.0-or-later
// What is told of loads beside the downlink's ledger: users' rates, the uplink, what the rim cuts off.
#pragma once

#include "bench/derived_facts.h"

namespace fw {

/// Of macro cells.
std::vector<DerivedFact> cellRateFacts(Workspace& space);
std::vector<DerivedFact> cellUplinkFacts(Workspace& space);
DerivedFact rimFact(Workspace& space);
/// Of small cells.
std::vector<DerivedFact> smallRateFacts(Workspace& space);
std::vector<DerivedFact> smallUplinkFacts(Workspace& space);

} // namespace fw
