// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/clock_changes.h"

#include "intake/value_reader.h"

#include <chrono>

namespace fw {
namespace {

// Whether the day is a Sunday of that month, between two days of it.
bool sundayIn(std::int32_t day, unsigned month, unsigned from, unsigned to) {
    if (weekday(day) != 6) return false;
    const std::chrono::year_month_day ymd{std::chrono::sys_days(std::chrono::days(day))};
    const auto of = static_cast<unsigned>(ymd.day());
    return static_cast<unsigned>(ymd.month()) == month && of >= from && of <= to;
}

} // namespace

bool mayRepeat(std::int32_t day, std::int32_t hour) {
    if (hour < 1 || hour > 3) return false;
    return sundayIn(day, 10, 25, 31) || sundayIn(day, 11, 1, 7) || sundayIn(day, 4, 1, 7);
}

bool mayBeSkipped(std::int32_t day, std::int32_t hour) {
    if (hour < 0 || hour > 3) return false;
    return sundayIn(day, 3, 25, 31) || sundayIn(day, 3, 8, 14) || sundayIn(day, 10, 1, 7) ||
           sundayIn(day, 9, 24, 30);
}

} // namespace fw
