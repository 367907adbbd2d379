// SPDX-License-Identifier: GPL-3.0-or-later
// Hours of cells to days and busy hours.
#pragma once

#include "intake/counter_series.h"

#include <optional>
#include <vector>

namespace fw {

/// What the file as a whole has.
struct CounterSpan {
    /// Hours of the day that the file has: a tenth as often, at least, as the one that it has most often.
    std::array<bool, 24> clock{};
    int clockHours = 0; ///< of them
    int needed = 0;     ///< hours that make a day
    std::int32_t firstDay = 0, lastDay = 0, firstHour = 0, lastHour = 0;
};
CounterSpan spanOf(const std::vector<CounterSeries>& all, const CounterOptions& options);

/// Hours between the file's first and last that the cell lacks; not those that clocks skipped.
std::int64_t missingHours(const CounterSeries& series, const CounterSpan& span);

/// First of the resources that the series has.
std::optional<CounterFigure> rankingOf(const CounterSeries& series);

/// Days of a cell that have enough hours, with their busy hours; `networkHour` replaces the daily search.
struct CounterDays {
    std::vector<CounterDay> days;
    int leftOut = 0;
};
CounterDays daysOf(const CounterSeries& series, CounterFigure ranking, const CounterSpan& span,
                   std::optional<int> networkHour);

/// The clock hour with the highest mean use, summed over the cells; the earliest of equals.
std::optional<int> networkHourOf(const std::vector<CounterSeries>& all, const CounterSpan& span);

} // namespace fw
