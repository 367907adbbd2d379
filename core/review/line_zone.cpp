// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/line_zone.h"

#include <algorithm>

namespace fw {

double lineZoneM(const Limits& limits, std::optional<double> kilovolts) {
    if (!kilovolts) return widestLineZoneM(limits);
    const char* step = *kilovolts <= 1     ? "line-clearance.to-1kv"
                       : *kilovolts <= 50  ? "line-clearance.to-50kv"
                       : *kilovolts <= 200 ? "line-clearance.to-200kv"
                                           : "line-clearance.above-200kv";
    return limits["line-clearance.working-radius"] + limits[step];
}

double widestLineZoneM(const Limits& limits) {
    double widest = 0;
    for (const char* step : {"line-clearance.to-1kv", "line-clearance.to-50kv", "line-clearance.to-200kv",
                             "line-clearance.above-200kv"})
        widest = std::max(widest, limits[step]);
    return limits["line-clearance.working-radius"] + widest;
}

} // namespace fw
