// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "study/study.h"

#include <array>
#include <memory>

namespace fw {

/// PRB cost in reach and in sight of a small cell's antenna by direction, in points (hundredths) of the macro
/// cells' PRB, on the layers that the small cell can relieve. Which way it is turned does not matter. A
/// building of which any facade is in sight counts with all its floors, as in Study::outlook().
struct CostByBearing {
    static constexpr int kBins = 72;
    static constexpr double kBinDeg = 360.0 / kBins;
    std::array<double, kBins> points{}; ///< bin k holds *grid* azimuths from 5 k up to 5 (k + 1) degrees
    [[nodiscard]] double total() const;
    /// Of a direction's bin.
    [[nodiscard]] double at(GridAzimuth azimuth) const;
};

/// Kept by position, so that turning and tilting ask for nothing new; a new position costs well under a
/// millisecond. Null for what is no small cell of the study. Thread-safe.
std::shared_ptr<const CostByBearing> costByBearing(const Study& study, ItemId small);

} // namespace fw
