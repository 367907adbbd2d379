// SPDX-License-Identifier: GPL-3.0-or-later
// Tables of hourly counters, written hour by hour from the use of each day's busiest hour.
#pragma once

#include "intake/value_reader.h"

#include <fmt/format.h>

#include <cstdint>
#include <string>
#include <string_view>

namespace fwtest {

/// 2026-05-04 was a Monday: day 20577 (`date -d 2026-05-04 +%s` over 86400).
inline constexpr std::int32_t kMonday = 20577;

/// The hour from 18:00 on has the use given, the others half of it; per cent to three decimals.
inline std::string dayRows(std::string_view cell, std::int32_t day, double busyUse, int hours = 24) {
    std::string rows;
    for (int h = 0; h < hours; ++h)
        rows += fmt::format("{},{} {:02}:00,{:.3f}\n", cell, fw::dayText(day), h,
                            busyUse * 100 * (h == 18 ? 1.0 : 0.5));
    return rows;
}
inline constexpr const char* kHourHead = "cell,time,DL PRB use [%]\n";

} // namespace fwtest
