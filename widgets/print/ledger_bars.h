// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "delivery/overview.h"
#include "print/flow.h"

namespace fw {

/// Cells before and after as bars with their figures, over page ends.
void printLedgerBars(Flow& flow, const Overview& overview);
/// Height of the first `rows` rows with head and key (mm).
double ledgerBarsHeight(std::size_t rows);

} // namespace fw
