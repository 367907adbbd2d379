// SPDX-License-Identifier: GPL-3.0-or-later
// Port Merrow as it is built: an invented island town. Town metres, east and north of its own origin.
#pragma once

#include "builder.h"
#include "land.h"

#include "base/random.h"

#include <vector>

namespace fw::town {

struct PortMerrowMap {
    Land land;
    Fabric fabric;
    std::vector<Ring> parks; ///< town metres
    std::vector<TreeSpot> trees;

    PortMerrowMap();
    PortMerrowMap(const PortMerrowMap&) = delete;
    PortMerrowMap& operator=(const PortMerrowMap&) = delete;
};

/// Where the town's own origin lies in the plan's system (WGS 84 / UTM zone 27N); whole tiles of 512 m.
inline constexpr PlanePoint kTownOrigin{551936, 4082176};
inline constexpr int kTownEpsg = 32627;
/// The ground that is planned, in town metres: six tiles by six.
inline constexpr Box kTownArea{256, 256, 3328, 3328};
/// The ground that the terrain file covers.
inline constexpr Box kIslandArea{-400, -200, 4100, 4400};

/// Plants avenues, gardens and parks.
std::vector<TreeSpot> plantTrees(const Fabric& fabric, const std::vector<Ring>& parks, std::uint64_t seed);

} // namespace fw::town
