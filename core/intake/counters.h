// SPDX-License-Identifier: GPL-3.0-or-later
// Hourly counters of macro cells, as they come, to the load of each cell.
#pragma once

#include "base/job.h"
#include "base/working.h"
#include "intake/value_reader.h"
#include "plan/items.h"
#include "plan/settings.h"

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace fw {

/// What a counter row tells of an hour. The first four are resources that can run out.
enum class CounterFigure : std::uint8_t {
    downlinkPrb, ///< share of downlink resource blocks in use, 0..1
    uplinkPrb,   ///< likewise uplink
    control,     ///< share of the downlink control channel in use, 0..1
    connected,   ///< connected users as a share of those the cell admits, 0..1
    users,       ///< mean active users
    throughput,  ///< mean user throughput, Mbit/s
};
inline constexpr std::size_t kCounterFigures = 6, kCounterResources = 4;
/// "downlink resource blocks", "uplink resource blocks", "control channel", "connected users", ...
const char* nameOf(CounterFigure figure);

/// What is absent was not measured.
using CounterFigures = std::array<std::optional<double>, kCounterFigures>;

/// One row, mapped: a cell and the beginning of the hour (or of a part of it) in the file's own clock.
struct CounterSample {
    std::string cell;
    LocalHour at;
    CounterFigures figures;
    std::int64_t row = 0; ///< as the user finds it in the file

    [[nodiscard]] std::optional<double>& of(CounterFigure f) { return figures[static_cast<std::size_t>(f)]; }
};

/// Which hour of each day speaks for a cell.
enum class BusyHourRule : std::uint8_t {
    daily,   ///< the cell's own busiest of that day
    network, ///< one clock hour for all: that with the highest mean use, summed over the cells
};
struct CounterOptions {
    BusyHourRule rule = BusyHourRule::daily;
    /// Hours that a day needs to count, of 24. Files that have fewer hours of the day at all (working hours,
    /// or one row a day) need the same share of those.
    int hoursOfDay = 20;
    ModelSettings model; ///< trigger
};

/// The hour that spoke for a resource on one day.
struct BusyHour {
    std::int32_t hour = 0;
    double share = 0;
    bool operator==(const BusyHour&) const = default;
};
struct CounterDay {
    std::int32_t day = 0;
    int hours = 0; ///< of that day with figures; 25 where clocks were set back
    std::array<std::optional<BusyHour>, kCounterResources> busy;
    std::optional<double> users, throughputMbps; ///< in the hour that speaks for the ranking resource
    bool operator==(const CounterDay&) const = default;
};

struct CounterCell {
    std::string cell;
    CellLoad load; ///< without histograms
    /// What ranks its hours: downlink resource blocks, or the first of the resources that the file has.
    std::optional<CounterFigure> ranking;
    std::vector<CounterDay> days; ///< that counted, ascending
    int daysLeftOut = 0;          ///< with too few hours
    std::int64_t hours = 0, missingHours = 0;
    int daysOver = 0;       ///< of the latest seven days: those at or over the trigger
    bool triggered = false; ///< as overTrigger() (study/study.h) says
    /// The resource with the highest mean of daily busy hours, and that mean.
    std::optional<CounterFigure> limiting;
    double limitingShare = 0;
    std::vector<std::string> notes; ///< sentences
};

/// Two rows for one cell and hour that say different things.
struct CounterConflict {
    std::string cell;
    LocalHour at;
    std::int64_t earlierRow = 0, takenRow = 0;
};
struct CounterSummary {
    std::int64_t samples = 0;
    std::int64_t identical = 0;               ///< rows that repeat an earlier one; counted once
    std::int64_t completed = 0;               ///< rows that add figures to an hour another row has begun
    std::int64_t conflicts = 0;               ///< rows that differ from an earlier one; the later was taken
    std::vector<CounterConflict> conflicting; ///< the first kConflicts of them
    static constexpr std::size_t kConflicts = 1000;
    std::int32_t firstDay = 0, lastDay = 0;
    std::int64_t cellHours = 0, missingHours = 0;
    std::int64_t daysLeftOut = 0;   ///< cell-days with too few hours
    std::int64_t repeatedHours = 0; ///< cell-hours that stand twice because clocks were set back
    int hoursNeeded = 0;            ///< that a day had to have
    std::optional<int> networkHour; ///< the clock hour with the highest mean total
    std::vector<std::string> notes; ///< sentences for the preview
};
struct CounterResult {
    std::vector<CounterCell> cells; ///< by name
    CounterSummary summary;
};

/// Takes rows in any order and makes loads of them.
///
/// Duplicates: rows of one cell and one time that agree count once; figures that only one of them has are
/// put together; where they differ the later row is taken and the hour listed.
///
/// Clocks: where rows carry an offset from UTC, hours are told apart by it. Where they do not, an hour that
/// stands exactly twice for a cell is taken for the two hours of a clock set back when it is one of those of
/// mayRepeat() (clock_changes.h) and the only hour of that day that this cell has twice; else it is a
/// duplicate. One missing hour of those of mayBeSkipped() is no gap.
///
/// Rows of parts of an hour (15 minutes) are averaged to the hour.
///
/// A busy hour: of each day that counts the hour with the highest use, the earliest of equals; the cell's
/// figure is the mean over those days. Uplink, control channel and connected users have daily busy hours of
/// their own; users and throughput are those of the ranking resource's hours. Common practice (mean of daily
/// peak hours, and a network hour; ITU-T E.600 names the like average daily peak hour, ADPH, and time
/// consistent busy hour, TCBH).
class CounterCollector {
public:
    CounterCollector();
    ~CounterCollector();
    CounterCollector(CounterCollector&&) noexcept;
    CounterCollector& operator=(CounterCollector&&) noexcept;

    /// Figures are taken as they are: the mapping has refused those out of range.
    void add(const CounterSample& sample);
    [[nodiscard]] std::int64_t size() const; ///< rows taken
    /// May be called again with other options. Gives ErrorCode::cancelled when the job was stopped, badInput
    /// when there are no rows.
    [[nodiscard]] Result<CounterResult> finish(const CounterOptions& options, const Job& job = {}) const;

private:
    struct Impl;
    std::unique_ptr<Impl> m_impl;
};

/// How the figures of a cell came about: mean use of each resource, users, throughput, trigger, limiting
/// resource.
std::vector<Working> workingsOf(const CounterCell& cell, const CounterOptions& options);

} // namespace fw
