// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/working.h"
#include "study/study.h"

namespace fw {

/// The steps to a macro cell's use after, in % of its own PRB: what was measured, what each small cell takes
/// off, what interference adds. Without steps for a cell that has no line in the ledger.
Working workingOf(const Study& study, const Ledger& ledger, ItemId cell);

/// The steps to LedgerLine::holdsMonths. Where there is no such time (not congested, or never under target)
/// it ends at the use that decides so, with a remark.
Working workingOfHolds(const Study& study, const Ledger& ledger, ItemId cell);

/// The steps to a chosen small cell's own use: what it takes off each macro cell, in points of theirs, and
/// what it spends of its own PRB on them. Without steps for one that has no line in the ledger.
Working workingOfUse(const Study& study, const Ledger& ledger, ItemId small);

/// The steps to Study::reliefPoints: what a small cell takes off each macro cell, in PRB and in points of
/// that cell's own. Without steps for one that is not in the study.
Working workingOfRelief(const Study& study, ItemId small);

} // namespace fw
