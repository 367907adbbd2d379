// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/free_space.h"

#include "base/log_exp.h"

namespace fw {

Db freeSpaceLoss(double distanceM, Hertz f) {
    return {20.0 * log10Fixed(4.0 * kPi * distanceM * f.v / kSpeedOfLight)};
}

Dbm freeSpaceReceived(Dbm transmitted, Db gainTx, Db gainRx, double distanceM, Hertz f) {
    return transmitted + gainTx + gainRx - freeSpaceLoss(distanceM, f);
}

} // namespace fw
