// SPDX-License-Identifier: GPL-3.0-or-later
// Timing-advance and CQI histograms of macro cells.
#pragma once

#include "base/result.h"

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fw {

enum class HistogramKind : std::uint8_t {
    timingAdvance, ///< steps 0 to 4095, what a plan keeps; LTE has up to 1282, NR 3846 (TS 36.213, 4.2.3;
                   ///< TS 38.213, 4.2)
    cqi,           ///< steps 0 to 15 (TS 36.213, 7.2.3)
};

/// Step that a column's name or a value tells: the whole number at its end ("TA 12", "CQI_07", "ta[3]", "5").
/// Nothing when there is none, or a fraction or a range stands there ("0-78 m").
std::optional<int> stepOf(std::string_view name);

struct CellHistogram {
    std::string cell;
    std::vector<double> counts; ///< by step, from 0
    std::int64_t rows = 0;      ///< that were added up
};
struct HistogramResult {
    std::vector<CellHistogram> cells; ///< by name
    std::vector<std::string> notes;   ///< sentences
};

/// Takes counts in the long form (cell, step, count) or the wide one (a column a step). Counts of one cell
/// and step add up: rows of several hours make one histogram.
class HistogramCollector {
public:
    explicit HistogramCollector(HistogramKind kind) : m_kind(kind) {}
    /// Refused by a clause: a step beyond the kind's last, a count below 0.
    Status add(const std::string& cell, int step, double count);
    /// One row of the wide form: `steps` by column; an absent count counts nothing. All or none is taken.
    Status add(const std::string& cell, const std::vector<int>& steps,
               const std::vector<std::optional<double>>& counts);
    [[nodiscard]] HistogramResult finish() const;

private:
    [[nodiscard]] Status check(int step, double count) const;
    HistogramKind m_kind;
    std::map<std::string, CellHistogram> m_cells;
};

} // namespace fw
