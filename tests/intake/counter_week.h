// SPDX-License-Identifier: GPL-3.0-or-later
// Weeks of hourly counters, made up hour by hour.
#pragma once

#include "catch.h"
#include "intake/counters.h"

#include <functional>
#include <limits>

namespace fwtest {

/// Monday 2026-04-06: no clock changes near it.
inline constexpr std::int32_t kMonday = 20549;

inline fw::CounterSample sampleAt(const std::string& cell, std::int32_t day, int hour, double dl) {
    fw::CounterSample s;
    s.cell = cell;
    s.at = {day, hour, 0, {}};
    s.of(fw::CounterFigure::downlinkPrb) = dl;
    return s;
}

/// Every hour of days [first, first + days); `use` gives the downlink share.
inline void addDays(fw::CounterCollector& to, const std::string& cell, std::int32_t first, int days,
                    const std::function<double(int day, int hour)>& use) {
    for (int d = 0; d < days; ++d)
        for (int h = 0; h < 24; ++h) to.add(sampleAt(cell, first + d, h, use(d, h)));
}

inline fw::CounterResult finished(const fw::CounterCollector& collector,
                                  const fw::CounterOptions& options = {}) {
    auto r = collector.finish(options);
    REQUIRE(r.ok());
    return *r;
}

inline bool says(const std::vector<std::string>& notes, const std::string& words) {
    for (const auto& n : notes)
        if (n.find(words) != std::string::npos) return true;
    return false;
}

} // namespace fwtest
