// SPDX-License-Identifier: GPL-3.0-or-later
// From sums to the ledger people read. Private to core/study.
#pragma once

#include "study/state.h"

namespace fw {

/// PRB uses closer than this count as equal: a hundredth of a point.
inline constexpr double kUseStep = 1e-4;

/// What the settled ledger changed before these sums came about.
struct Setting {
    double biasDb = 0, powerDownDb = 0;
};

/// @param pairs    sums by small and macro cell. @param settings  by small cell, or empty: as entered.
/// @param proRata  true (live): relief of a small cell over its cap counts by cap / use; the settled ledger
/// has brought it
///                 under the cap instead.
Ledger ledgerOf(const StudyCore& core, const TileSums& sums, Ledger::Kind kind,
                std::span<const Setting> settings, bool proRata);

/// PRB use of each small cell by the sums (not clipped).
std::vector<double> usesOf(const StudyCore& core, const TileSums& sums);

/// Whether a share in use is no more than its target, but for the rounding of sums.
inline bool meetsTarget(double use, double target) { return use <= target + 1e-9; }

} // namespace fw
