// SPDX-License-Identifier: GPL-3.0-or-later
// Bias of a small cell in a phone's comparison: what may be set, and how far it carries; share of blocks in
// use.
#pragma once

#include "base/units.h"

#include <cstdint>
#include <span>

namespace fw {

/// The offsets a network can signal for one cell (dB), ascending: -24 to 24, in steps of 2 dB outside +-6 and
/// of 1 dB inside. Source: 3GPP TS 36.331, Q-OffsetRange.
std::span<const int> cellOffsetsDb();
/// The allowed offset nearest to a wanted one; of two equally near the one nearer to 0.
Db nearestCellOffset(Db wanted);

/// How many times farther a cell is chosen with a bias, where loss rises by 10 n dB a decade of distance and
/// the rival's level stays the same: 10^(bias / (10 n)). n > 0.
/// Source: the log-distance law solved for the distance of equal biased levels.
double rangeGrowth(Db bias, double n);

/// Share of resource blocks in use over a period, whole per cent, rounded down. used >= 0 and below
/// 1e16, available > 0; more than 100 when more is used than there is.
/// Source: 3GPP TS 36.314, 4.1.1.1 (clause from memory).
std::int64_t blockUsePercent(std::int64_t used, std::int64_t available);

} // namespace fw
