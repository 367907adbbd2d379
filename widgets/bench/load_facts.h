// SPDX-License-Identifier: GPL-3.0-or-later
// What is told of loads beside the downlink's ledger: users' rates, the uplink, what the rim cuts off,
// how long users on streets stay.
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
/// A dash while something is dragged: it takes longer than a frame has.
std::vector<DerivedFact> stayFacts(Workspace& space);

} // namespace fw
