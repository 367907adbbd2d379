// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "intake/counters.h"

#include <fmt/format.h>

#include <algorithm>

namespace fw {
namespace {

constexpr std::array<const char*, 7> kWeekdays = {"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"};
// Above this use, load that was asked for and not served is hidden.
constexpr double kHidesLoad = 0.85;

std::string dayName(std::int32_t day) {
    return fmt::format("{} {}", kWeekdays[static_cast<std::size_t>(weekday(day))], dayText(day));
}

std::string inputName(const CounterDay& d, std::optional<std::int32_t> hour) {
    return hour ? fmt::format("{} {:02}:00", dayName(d.day), *hour) : dayName(d.day);
}

void remarkRule(Working& w, const CounterCell& cell, const CounterOptions& options) {
    w.source = CORE_TEXT("common practice");
    w.remarks.emplace_back(
        options.rule == BusyHourRule::daily
            ? CORE_TEXT("Of each day its busiest hour, the earliest of equals.")
            : CORE_TEXT("The same clock hour every day: that with the highest mean use over all cells."));
    if (cell.daysLeftOut > 0)
        w.remarks.push_back(fmt::format("Days with too few hours, left out: {}.", cell.daysLeftOut));
}

void closeMean(Working& w, const char* unit) {
    double sum = 0;
    for (const WorkingInput& in : w.inputs) sum += in.value;
    const auto n = static_cast<double>(w.inputs.size());
    w.steps.push_back({CORE_TEXT("days counted"), "", n, ""});
    w.steps.push_back(
        {CORE_TEXT("mean of the days"), CORE_TEXT("sum of the daily values / days"), sum / n, unit});
}

std::optional<Working> resourceWorking(const CounterCell& cell, std::size_t k,
                                       const CounterOptions& options) {
    Working w;
    w.title = fmt::format("{}: busy-hour use of the {}", cell.cell, nameOf(static_cast<CounterFigure>(k)));
    for (const CounterDay& d : cell.days)
        if (d.busy[k])
            w.inputs.push_back({inputName(d, d.busy[k]->hour), d.busy[k]->share * 100, "%", "file"});
    if (w.inputs.empty()) return std::nullopt;
    closeMean(w, "%");
    remarkRule(w, cell, options);
    if (w.steps.back().value > kHidesLoad * 100)
        w.remarks.emplace_back(
            CORE_TEXT("Above 85 % part of what users ask for is not served: read it as \"at least\"."));
    return w;
}

std::optional<Working> figureWorking(const CounterCell& cell, std::optional<double> CounterDay::*figure,
                                     const char* title, const char* unit, const CounterOptions& options) {
    Working w;
    w.title = fmt::format("{}: {}", cell.cell, title);
    const auto ranking = static_cast<std::size_t>(cell.ranking.value_or(CounterFigure::downlinkPrb));
    for (const CounterDay& d : cell.days) {
        if (!(d.*figure)) continue;
        const auto hour = d.busy[ranking] ? std::optional(d.busy[ranking]->hour) : std::nullopt;
        w.inputs.push_back({inputName(d, hour), *(d.*figure), unit, "file"});
    }
    if (w.inputs.empty()) return std::nullopt;
    closeMean(w, unit);
    remarkRule(w, cell, options);
    return w;
}

std::optional<Working> triggerWorking(const CounterCell& cell, const CounterOptions& options) {
    const auto& daily = cell.load.dailyDlPrbUse;
    if (daily.empty()) return std::nullopt;
    const ModelSettings& m = options.model;
    const auto counted = std::min<std::size_t>(daily.size(), 7);
    Working w;
    w.title = fmt::format("{}: trigger", cell.cell);
    w.inputs.push_back({CORE_TEXT("trigger use"), m.triggerUse * 100, "%", "plan"});
    w.inputs.push_back({CORE_TEXT("days of seven"), static_cast<double>(m.triggerDays), "", "plan"});
    w.inputs.push_back({CORE_TEXT("trigger throughput"), m.triggerThroughputMbps, "Mbit/s", "plan"});
    w.steps.push_back({CORE_TEXT("latest days looked at"), "", static_cast<double>(counted), ""});
    w.steps.push_back(
        {CORE_TEXT("of them at or over the trigger use"), "", static_cast<double>(cell.daysOver), ""});
    w.steps.push_back({CORE_TEXT("days needed"), CORE_TEXT("days of seven x days looked at / 7"),
                       std::min<double>(m.triggerDays, m.triggerDays * static_cast<double>(counted) / 7),
                       ""});
    if (cell.load.userThroughputMbps)
        w.steps.push_back(
            {CORE_TEXT("user throughput in the busy hour"), "", *cell.load.userThroughputMbps, "Mbit/s"});
    w.steps.push_back(
        {cell.triggered ? CORE_TEXT("over the trigger: yes") : CORE_TEXT("over the trigger: no"),
         CORE_TEXT("days at or over it >= days needed, and throughput below its limit"),
         cell.triggered ? 1.0 : 0.0, ""});
    w.source = CORE_TEXT("common practice");
    if (!cell.load.userThroughputMbps)
        w.remarks.emplace_back(CORE_TEXT("User throughput was not measured; the use alone decides."));
    return w;
}

std::optional<Working> limitWorking(const CounterCell& cell) {
    if (!cell.limiting) return std::nullopt;
    Working w;
    w.title = fmt::format("{}: limiting resource, {}", cell.cell, nameOf(*cell.limiting));
    for (std::size_t k = 0; k < kCounterResources; ++k) {
        double sum = 0;
        int days = 0;
        for (const CounterDay& d : cell.days) {
            if (!d.busy[k]) continue;
            sum += d.busy[k]->share;
            ++days;
        }
        if (days > 0)
            w.inputs.push_back({nameOf(static_cast<CounterFigure>(k)), sum / days * 100, "%", "file"});
    }
    w.steps.push_back({CORE_TEXT("highest of them"), CORE_TEXT("max"), cell.limitingShare * 100, "%"});
    w.source = CORE_TEXT("common practice");
    w.remarks.emplace_back(CORE_TEXT("Each is the mean of its own daily busy hours."));
    return w;
}

} // namespace

std::vector<Working> workingsOf(const CounterCell& cell, const CounterOptions& options) {
    std::vector<Working> out;
    const auto keep = [&](std::optional<Working> w) {
        if (w) out.push_back(std::move(*w));
    };
    for (std::size_t k = 0; k < kCounterResources; ++k) keep(resourceWorking(cell, k, options));
    keep(figureWorking(cell, &CounterDay::users, CORE_TEXT("active users in the busy hour"), "", options));
    keep(figureWorking(cell, &CounterDay::throughputMbps, CORE_TEXT("user throughput in the busy hour"),
                       "Mbit/s", options));
    keep(triggerWorking(cell, options));
    keep(limitWorking(cell));
    return out;
}

} // namespace fw
