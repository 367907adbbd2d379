// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/counter_days.h"

#include "intake/clock_changes.h"

#include <algorithm>
#include <cmath>
#include <span>

namespace fw {
namespace {

using Hours = std::span<const CounterHour>;

double figure(const CounterHour& h, CounterFigure f) { return h.mean[static_cast<std::size_t>(f)]; }

std::optional<double> measured(double v) { return std::isnan(v) ? std::nullopt : std::optional<double>(v); }

template <class F>
void eachDay(const CounterSeries& series, F&& f) {
    const Hours hours(series.hours);
    for (std::size_t i = 0; i < hours.size();) {
        std::size_t end = i + 1;
        while (end < hours.size() && hours[end].day == hours[i].day) ++end;
        f(hours.subspan(i, end - i));
        i = end;
    }
}

int hoursWith(Hours day, CounterFigure f) {
    return static_cast<int>(std::count_if(day.begin(), day.end(),
                                          [&](const CounterHour& h) { return !std::isnan(figure(h, f)); }));
}

// The hour that speaks for a resource: the busiest, or the first of a given name.
const CounterHour* busiest(Hours day, CounterFigure f, std::optional<int> at) {
    const CounterHour* best = nullptr;
    for (const CounterHour& h : day) {
        if (std::isnan(figure(h, f)) || (at && h.hour != *at)) continue;
        if (!best || figure(h, f) > figure(*best, f)) best = &h;
    }
    return best;
}

// Clocks were set forward on this day, and it lacks an hour.
bool skipsAnHour(Hours day, const CounterSpan& span) {
    std::array<bool, 24> has{};
    for (const CounterHour& h : day) has[static_cast<std::size_t>(h.hour)] = true;
    const CounterHour &first = day.front(), &last = day.back();
    const bool timed = first.offset != CounterRow::kNoOffset && last.offset != CounterRow::kNoOffset;
    for (int hour = 0; hour < 24; ++hour) {
        const auto k = static_cast<std::size_t>(hour);
        if (has[k] || !span.clock[k]) continue;
        if (timed ? last.offset > first.offset && hour > first.hour && hour < last.hour
                  : mayBeSkipped(first.day, hour))
            return true;
    }
    return false;
}

} // namespace

CounterSpan spanOf(const std::vector<CounterSeries>& all, const CounterOptions& options) {
    CounterSpan span;
    std::array<std::int64_t, 24> times{};
    bool any = false;
    for (const CounterSeries& series : all) {
        for (const CounterHour& h : series.hours) ++times[static_cast<std::size_t>(h.hour)];
        if (series.hours.empty()) continue;
        const CounterHour &first = series.hours.front(), &last = series.hours.back();
        if (!any || std::pair(first.day, first.hour) < std::pair(span.firstDay, span.firstHour)) {
            span.firstDay = first.day;
            span.firstHour = first.hour;
        }
        if (!any || std::pair(last.day, last.hour) > std::pair(span.lastDay, span.lastHour)) {
            span.lastDay = last.day;
            span.lastHour = last.hour;
        }
        any = true;
    }
    const std::int64_t most = *std::max_element(times.begin(), times.end());
    for (std::size_t h = 0; h < 24; ++h) span.clock[h] = times[h] > 0 && times[h] * 10 >= most;
    span.clockHours = static_cast<int>(std::count(span.clock.begin(), span.clock.end(), true));
    span.needed = std::max(1, (span.clockHours * options.hoursOfDay + 23) / 24);
    return span;
}

std::int64_t missingHours(const CounterSeries& series, const CounterSpan& span) {
    std::int64_t expected = std::int64_t{span.clockHours} * (span.lastDay - span.firstDay + 1);
    for (int hour = 0; hour < 24; ++hour) {
        if (!span.clock[static_cast<std::size_t>(hour)]) continue;
        expected -= (hour < span.firstHour ? 1 : 0) + (hour > span.lastHour ? 1 : 0);
    }
    eachDay(series, [&](Hours day) {
        expected -= std::count_if(day.begin(), day.end(), [&](const CounterHour& h) {
            return h.turn == 0 && span.clock[static_cast<std::size_t>(h.hour)];
        });
        if (day.front().day != span.firstDay && day.front().day != span.lastDay && skipsAnHour(day, span))
            --expected;
    });
    return expected;
}

std::optional<CounterFigure> rankingOf(const CounterSeries& series) {
    for (std::size_t k = 0; k < kCounterResources; ++k) {
        const auto f = static_cast<CounterFigure>(k);
        if (hoursWith(series.hours, f) > 0) return f;
    }
    return std::nullopt;
}

CounterDays daysOf(const CounterSeries& series, CounterFigure ranking, const CounterSpan& span,
                   std::optional<int> networkHour) {
    CounterDays out;
    eachDay(series, [&](Hours hours) {
        const int has = hoursWith(hours, ranking);
        const CounterHour* busy = busiest(hours, ranking, networkHour);
        if (has < span.needed || !busy) {
            ++out.leftOut;
            return;
        }
        CounterDay day;
        day.day = hours.front().day;
        day.hours = has;
        for (std::size_t k = 0; k < kCounterResources; ++k) {
            const auto f = static_cast<CounterFigure>(k);
            if (const CounterHour* h = busiest(hours, f, networkHour))
                day.busy[k] = BusyHour{h->hour, figure(*h, f)};
        }
        day.users = measured(figure(*busy, CounterFigure::users));
        day.throughputMbps = measured(figure(*busy, CounterFigure::throughput));
        out.days.push_back(day);
    });
    return out;
}

std::optional<int> networkHourOf(const std::vector<CounterSeries>& all, const CounterSpan& span) {
    std::array<double, 24> total{};
    bool any = false;
    for (const CounterSeries& series : all) {
        const auto ranking = rankingOf(series);
        if (!ranking) continue;
        std::array<double, 24> sum{};
        std::array<int, 24> count{};
        eachDay(series, [&](Hours day) {
            if (hoursWith(day, *ranking) < span.needed) return;
            for (const CounterHour& h : day) {
                if (std::isnan(figure(h, *ranking))) continue;
                sum[static_cast<std::size_t>(h.hour)] += figure(h, *ranking);
                ++count[static_cast<std::size_t>(h.hour)];
                any = true;
            }
        });
        for (std::size_t h = 0; h < 24; ++h)
            if (count[h] > 0) total[h] += sum[h] / count[h];
    }
    if (!any) return std::nullopt;
    return static_cast<int>(std::max_element(total.begin(), total.end()) - total.begin());
}

} // namespace fw
