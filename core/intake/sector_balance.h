// SPDX-License-Identifier: GPL-3.0-or-later
// Sectors that are full on one carrier and have room on another: what balancing brings before anything is
// built.
#pragma once

#include "base/working.h"
#include "plan/plan.h"

#include <string>
#include <vector>

namespace fw {

/// One carrier of such a sector.
struct CarrierUse {
    ItemId cell;
    double use = 0;       ///< measured downlink PRB use, 0..1
    double weightMHz = 0; ///< bandwidth x downlink share of time
    bool operator==(const CarrierUse&) const = default;
};

struct SectorBalance {
    ItemId sector;
    std::vector<CarrierUse> full; ///< at or over the trigger use, fullest first
    std::vector<CarrierUse> room; ///< below the target use, emptiest first
    /// Use of every measured carrier if the sector's load were spread evenly over them, by weight.
    double evenUse = 0;
    bool enough = false; ///< evenUse is at or below the target: balancing alone relieves the sector
    std::string sentence;
    Working working;
};

/// By sector id; sectors without both a full and a roomy carrier are left out. Cells whose downlink use was
/// not measured take no part. Assumes that devices can use every carrier and that a MHz carries the same on
/// each (stated in the working). Source: common practice; trigger and target of the plan's ModelSettings.
std::vector<SectorBalance> unbalancedSectors(const Plan& plan);

} // namespace fw
