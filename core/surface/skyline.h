// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "surface/surface.h"

#include <array>

namespace fw {

/// The horizon round an antenna, every half degree of *grid* azimuth: entry k looks along k / 2 degrees.
struct Skyline {
    static constexpr int kBearings = 720;
    struct Bearing {
        float elevationDeg = -90; ///< of the highest thing in that direction, from the antenna
        float distanceM = 0;      ///< of it; 0 when nothing stands above -90
        ItemId cause;             ///< prism or crown that makes it; none for ground
        float solidM = 1e9f; ///< distance of the first solid that the horizontal ray at antenna height meets
        ItemId solid;        ///< that solid; none for a hillside
    };
    std::array<Bearing, kBearings> bearing{};
    [[nodiscard]] const Bearing& at(double gridAzimuthDeg) const;
};

struct SkylineSpec {
    PlanePoint at;
    double antennaAmsl = 0;
    double reachM = 500;
    int ownPrism = -1; ///< the building that carries the antenna
    bool ownCounts =
        false; ///< true: its walls and rim count (a wall mount looks away from its wall; a roof has its lip)
};

/// Exact on prism walls (edges of footprints, not cells), sampled each cell on the ground. Crowns count as
/// cylinders that nothing is seen through. The earth's bulge (15 mm at 500 m) is left out. What covers the
/// antenna's own place is taken to stand 0.1 m away. A parapet counts on the own building only.
Skyline skylineAt(const Surface& surface, const SkylineSpec& spec);

} // namespace fw
