// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "radio/antenna.h"

#include <array>
#include <cstdint>

namespace fw {

/// An antenna pattern as whole numbers: angles in 0.1 deg, losses in 0.01 dB.
/// loss(a, e) = min(horizontal[a] + vertical[e + 900 + tilt[a]], most), a off boresight 0..3599, e elevation
/// -900..900.
struct PatternTable {
    static constexpr int kVertical = 1801;
    std::array<std::int16_t, 3600> horizontal{},
        tilt{};                                     ///< tilt: effective tilt down at that azimuth, 0.1 deg
    std::array<std::int16_t, kVertical> vertical{}; ///< untilted
    int most = 0;
    int gainCenti = 0;
    /// The same for kernels that take eight receivers at once: loss(a, e) =
    /// min(side[a] >> 16 + upright[e + kUpright + int16(side[a])], most) without a bound to check.
    static constexpr int kUpright = 2700;
    std::array<std::int32_t, 3600> side{};                ///< horizontal << 16 | tilt
    std::array<std::int32_t, 2 * kUpright + 1> upright{}; ///< vertical, its ends repeated outwards
    /// Azimuths off boresight where the loss is `most` at every elevation: the longest stretch without a gap,
    /// both ends counted. Empty: from > to.
    int backFrom = 1, backTo = 0;

    /// @param azimuth  off boresight in 0.1 deg, any size; elevation in 0.1 deg, up positive.
    [[nodiscard]] int lossCenti(int azimuth, int elevation) const {
        int a = azimuth % 3600;
        if (a < 0) a += 3600;
        return lossWrapped(a, elevation);
    }
    [[nodiscard]] int lossWrapped(int a, int elevation) const {
        int e = elevation + 900 + tilt[static_cast<std::size_t>(a)];
        e = e < 0 ? 0 : e >= kVertical ? kVertical - 1 : e;
        const int sum = horizontal[static_cast<std::size_t>(a)] + vertical[static_cast<std::size_t>(e)];
        return sum < most ? sum : most;
    }
};

PatternTable patternTable(const Pattern& pattern, double mechanicalTiltDeg, double electricalTiltDeg);

/// Tenths of a degree, nearest.
int tenths(double deg);

} // namespace fw
