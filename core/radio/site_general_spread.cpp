// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/site_general_spread.h"

#include "base/log_exp.h"
#include "radio/building_entry.h"
#include "radio/free_space.h"

namespace fw {

Db siteGeneralLossAt(const SiteGeneral& row, bool sight, double distance3dM, Hertz f, double share) {
    const double deviated = siteGeneralLoss(row, distance3dM, f).v + row.sigmaDb * normalQuantile(share);
    if (sight) return {deviated};
    const double free = freeSpaceLoss(distance3dM, f).v;
    return {free + decibels(1.0 + powerRatio(deviated - free))};
}

} // namespace fw
