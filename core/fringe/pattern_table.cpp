// SPDX-License-Identifier: GPL-3.0-or-later
#include "fringe/pattern_table.h"

#include "base/units.h"

#include <algorithm>
#include <cmath>

namespace fw {

int tenths(double deg) { return static_cast<int>(std::floor(deg * 10 + 0.5)); }

namespace {

// What is lost upright comes on top, and is never a gain.
void findBack(PatternTable& t) {
    if (*std::min_element(t.vertical.begin(), t.vertical.end()) < 0) return;
    int from = 0;
    for (int a = 0; a <= 3600; ++a) {
        if (a < 3600 && t.horizontal[static_cast<std::size_t>(a)] >= t.most) continue;
        if (a - 1 - from > t.backTo - t.backFrom) {
            t.backFrom = from;
            t.backTo = a - 1;
        }
        from = a + 1;
    }
}

} // namespace

PatternTable patternTable(const Pattern& pattern, double mechanicalTiltDeg, double electricalTiltDeg) {
    PatternTable t;
    const auto h = pattern.horizontalTable(), v = pattern.verticalTable(0);
    std::copy(h.begin(), h.end(), t.horizontal.begin());
    std::copy(v.begin(), v.end(), t.vertical.begin());
    for (int a = 0; a < 3600; ++a)
        t.tilt[static_cast<std::size_t>(a)] = static_cast<std::int16_t>(
            tenths(effectiveTiltDeg(a / 10.0, mechanicalTiltDeg, electricalTiltDeg)));
    for (std::size_t a = 0; a < 3600; ++a) { // beyond 180 deg of tilt nothing changes any more
        const int tilt = std::clamp<int>(t.tilt[a], -1800, 1800);
        t.side[a] = t.horizontal[a] * 65536 + (tilt & 0xffff);
    }
    for (int e = -PatternTable::kUpright; e <= PatternTable::kUpright; ++e)
        t.upright[static_cast<std::size_t>(e + PatternTable::kUpright)] =
            t.vertical[static_cast<std::size_t>(std::clamp(e + 900, 0, PatternTable::kVertical - 1))];
    t.most = pattern.maxAttenuationCentiDb();
    t.gainCenti = centiOf(pattern.maxGainDbi());
    findBack(t);
    return t;
}

} // namespace fw
