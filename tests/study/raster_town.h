// SPDX-License-Identifier: GPL-3.0-or-later
// What tests of rasters share: a random town's study, and where a pixel lies.
#pragma once

#include "study/rasters.h"
#include "study/study.h"
#include "support/random_plan.h"

#include <memory>

namespace fw::testing {

inline std::shared_ptr<const Study> townStudy(std::uint64_t seed) {
    Random random(seed);
    auto terrain = std::make_shared<Terrain>();
    terrain->flatM = 12;
    return *Study::advance(nullptr, randomPlan(random), terrain);
}

/// Of the `i`-th pixel of a tile.
inline PlanePoint centreOf(TileKey key, std::size_t i) {
    return {key.x * kTileM + (static_cast<double>(i % kRasterPixels) + 0.5) * kRasterPixelM,
            key.y * kTileM + (static_cast<double>(i / kRasterPixels) + 0.5) * kRasterPixelM};
}

} // namespace fw::testing
