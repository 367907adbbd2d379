// SPDX-License-Identifier: GPL-3.0-or-later
// The rows of one cell, put into hours.
#pragma once

#include "intake/counters.h"

#include <cstdint>
#include <vector>

namespace fw {

/// A row as it is kept while they come in; NaN: not measured.
struct CounterRow {
    std::int32_t day = 0;
    std::int16_t minute = 0; ///< of the local day
    std::int16_t offset = kNoOffset;
    std::int64_t row = 0;
    std::array<double, kCounterFigures> figures{};

    static constexpr std::int16_t kNoOffset = INT16_MIN;
    /// Minutes since 1970, of UTC where the offset is known, else of the local clock.
    [[nodiscard]] std::int64_t time() const {
        return std::int64_t{day} * 1440 + minute - (offset == kNoOffset ? 0 : offset);
    }
};

/// One hour of a cell: means of its rows. NaN: not measured.
struct CounterHour {
    std::int32_t day = 0, hour = 0;
    int turn = 0; ///< 1: the second of two hours of one name
    std::int16_t offset = CounterRow::kNoOffset;
    std::array<double, kCounterFigures> mean{};
};

struct CounterSeries {
    std::vector<CounterHour> hours; ///< by day, hour and turn
    std::int64_t identical = 0, completed = 0, conflicts = 0, repeated = 0;
    std::vector<CounterConflict> conflicting; ///< bounded; without the cell's name
};
/// See CounterCollector for the rules. `rows` in the order in which they came.
CounterSeries seriesOf(std::vector<CounterRow> rows);

} // namespace fw
