// SPDX-License-Identifier: GPL-3.0-or-later
// Days on which clocks are set back or forward.
#pragma once

#include <cstdint>

namespace fw {

/// Whether an hour of this local day may stand twice because clocks were set back: hours 1 to 3 of the last
/// Sunday of October (Europe), the first Sunday of November (North America) or of April (Australia, New
/// Zealand).
bool mayRepeat(std::int32_t day, std::int32_t hour);
/// Whether an hour of this local day may be missing because clocks were set forward: hours 0 to 3 of the last
/// Sunday of March (Europe), the second Sunday of March (North America), the first Sunday of October
/// (Australia) or the last of September (New Zealand).
bool mayBeSkipped(std::int32_t day, std::int32_t hour);

} // namespace fw
