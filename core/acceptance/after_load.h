// SPDX-License-Identifier: GPL-3.0-or-later
// Whether built small cells did what was predicted: busy-hour use of macro cells before and after, against
// cells that nothing was done to.
#pragma once

#include "base/result.h"
#include "base/working.h"
#include "plan/edit.h"
#include "study/study.h"

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace fw {

/// Downlink PRB use of one cell in the busy hour of one day.
struct DayUse {
    std::int32_t day = 0; ///< since 1970-01-01
    double use = 0;       ///< share 0..1
};
/// What was measured of one cell.
struct CellDays {
    ItemId cell;
    std::vector<DayUse> before, after; ///< any order; of two entries of a day the later one counts
};

/// How far the days after carry.
enum class AcceptanceState : std::uint8_t {
    tooEarly, ///< no whole day yet
    hours24,  ///< one day: whether the small cells take load at all
    hours72,  ///< three days: a first figure
    weeks4,   ///< 28 days: what stays, once users have come back
};
const char* wordFor(AcceptanceState state); ///< "too early", "24 h", "72 h", "4 weeks"

/// Before and after over the same weekdays.
struct MatchedChange {
    std::size_t daysBefore = 0, daysAfter = 0; ///< of the weekdays that both have
    double before = 0, after = 0;              ///< mean over these weekdays of the mean of each
    [[nodiscard]] double change() const { return after - before; }
};
/// Empty where no weekday is in both.
std::optional<MatchedChange> matchedChange(std::span<const DayUse> before, std::span<const DayUse> after);

enum class AcceptanceVerdict : std::uint8_t {
    unknown,     ///< no days, or too few control cells
    nothingSeen, ///< the relief is within two errors of nothing
    less,        ///< less than predicted by more than two errors
    asPredicted,
    more,
};

struct TargetOutcome {
    ItemId cell;
    double predicted = 0; ///< ledger: use before less use after, share of the cell's PRB
    std::optional<MatchedChange> measured;
    double relief = 0;      ///< control change less own change
    double errorRelief = 0; ///< one standard error, from how much control cells scatter
    AcceptanceVerdict verdict = AcceptanceVerdict::unknown;
    std::string text; ///< one sentence
};

struct Acceptance {
    AcceptanceState state = AcceptanceState::tooEarly;
    std::size_t days = 0;               ///< after, that every measured target has
    std::vector<TargetOutcome> targets; ///< ascending by id
    std::vector<ItemId> controls;       ///< ascending
    double controlChange = 0;           ///< median over the control cells
    double controlSpread = 0;           ///< 1.4826 x median absolute deviation about it
    std::optional<double> ratio;        ///< measured over predicted relief, sums over measured targets
    double errorRatio = 0;
    std::string text;                 ///< one or two sentences
    std::vector<std::string> remarks; ///< sentences
};

/// Cells from which the ledger takes at least a point are targets; cells that it changes by less than a fifth
/// of a point, relief and harm counted apart, are controls; cells between are neither. Source of these limits
/// and of the five controls that are needed: own judgement. Cells without a line in the ledger are left out.
/// Difference in differences with the median of the controls, so that one that was rebuilt meanwhile has no
/// say; it takes for granted that targets would have changed as controls did.
/// @param ledger  of the chosen small cells that were built.
Acceptance compareAfterLoad(const Plan& plan, const Ledger& ledger, std::span<const CellDays> days);

/// What four weeks taught, as an edit, where it can be put into one figure: between half and all of the
/// predicted relief, the rest has come back, and ModelSettings::regrowth says so; more than was predicted,
/// and the congestion areas within reach of chosen small cells hold more demand than thought: their demand
/// factor rises by the ratio, at most twofold (the ledger answers less than in proportion; compare again).
/// Refused by a sentence: before four weeks, an error of the ratio above a quarter, less than half, no area,
/// and where the plan says so already.
Result<Edit> lessonOf(const Plan& plan, const Acceptance& acceptance);

/// The steps to one target's relief.
Working workingOf(const Plan& plan, const Acceptance& acceptance, ItemId cell);
/// The steps to Acceptance::ratio; a remark where there is none.
Working workingOfRatio(const Plan& plan, const Acceptance& acceptance);

} // namespace fw
