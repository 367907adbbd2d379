// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/job.h"
#include "review/finding.h"
#include "study/study.h"

#include <array>
#include <optional>

namespace fw {

/// Directions in which a rule would block a radio, were it turned there. Its tilt stays.
struct BlockedBearings {
    static constexpr int kBins = 72;
    static constexpr double kBinDeg = 360.0 / kBins;
    /// Entry k: what blocks at 5 k degrees *true*; empty where nothing does. Without remedy and standing.
    std::array<std::optional<Finding>, kBins> why;
    /// Of the entry nearest to a direction.
    [[nodiscard]] const std::optional<Finding>& at(TrueAzimuth azimuth) const;
};

/// Asks every rule that can block and that a turn can clear; what blocks in all directions alike (a line too
/// near, say) is not meant. About a tenth of a second: for a worker. Does not depend on the radio's present
/// azimuth. Stopped: what was found so far, not to be used.
BlockedBearings blockedBearings(const Study& study, ItemId radio, const Job& job = {});

} // namespace fw
