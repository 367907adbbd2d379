// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>

namespace fw {

/// Ground distances (m) up to which one shade of a skyline holds, nearest first; on paper and on screen.
inline constexpr std::array<double, 5> kDistanceClasses = {20, 50, 100, 200, 1e9};

inline int distanceClassOf(double distanceM) {
    int k = 0;
    while (distanceM > kDistanceClasses[static_cast<std::size_t>(k)]) ++k;
    return k;
}

} // namespace fw
