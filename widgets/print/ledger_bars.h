// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "delivery/overview.h"
#include "print/flow.h"

namespace fw {

/// Cells [from, to) before and after as bars with their figures, over page ends.
void printLedgerBars(Flow& flow, const Overview& overview, std::size_t from, std::size_t to);
/// How many rows the cover shows, so that the map still fits: the congested ones first, eight if there are
/// more.
std::size_t coverRows(const Overview& overview);
/// Height of the first `rows` rows with head and key (mm).
double ledgerBarsHeight(std::size_t rows);

} // namespace fw
