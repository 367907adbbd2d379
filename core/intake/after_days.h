// SPDX-License-Identifier: GPL-3.0-or-later
// Counters from before and after small cells were built, to the days that acceptance/after_load.h compares.
#pragma once

#include "acceptance/after_load.h"
#include "intake/preview.h"

namespace fw {

/// Where the days come from.
struct AfterFiles {
    std::filesystem::path after;  ///< counters after; or before and after in one file
    std::filesystem::path before; ///< counters before; empty: they stand in the other file, or in the plan
    std::optional<std::int32_t> onAir;     ///< day since 1970-01-01 on which the small cells went on air
    IntakeRequest intake;                  ///< what the user says of the files; the kind is always counters
    const MappingMemory* memory = nullptr; ///< of what they said of such files before; null: nothing
};

struct AfterDays {
    IntakePreview after;
    std::optional<IntakePreview> before; ///< of the second file
    std::vector<CellDays> cells;         ///< ascending by id, those with days after
    std::size_t fromPlan = 0;            ///< of them, whose days before are those that the plan keeps
    /// Of the files, and of how days were told apart: questions first.
    std::vector<IntakeRemark> remarks;
    /// False while a question is open or no day is there.
    [[nodiscard]] bool usable() const;
};

/// Reads as previewIntake() does, with its mapping, refusals and remarks; a cell's days are those whose busy
/// hour of downlink use CounterCollector finds.
///
/// With the day on air known, days before it are before, days behind it after, whichever file they stand in,
/// and the day itself, which was both, is neither. Without it the first file is after and the second before;
/// where they share days, that is a question. A cell without a day before in the files takes the days that
/// its load in the plan keeps, one a day up to CellLoad::date, as long as that lies before its first day
/// after; which cells do is said.
Result<AfterDays> readAfterDays(const Plan& plan, const AfterFiles& files, const Job& job = {});

/// A day from YYYY-MM-DD and nothing else.
std::optional<std::int32_t> dayFrom(std::string_view text);

} // namespace fw
