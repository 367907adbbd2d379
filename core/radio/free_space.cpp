// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/free_space.h"

#include "base/log_exp.h"

#include <cmath>

namespace fw {

Db freeSpaceLoss(double distanceM, Hertz f) {
    return {20.0 * log10Fixed(4.0 * kPi * distanceM * f.v / kSpeedOfLight)};
}

double farFieldM(Db gain, Hertz f) {
    const double wavelengths = std::sqrt(powerRatio(gain.v)) / kPi; // D
    // A smaller antenna may have such a gain without the size.
    return wavelengthM(f) * (wavelengths < 0.5 ? 1.0 / (2.0 * kPi) : 2.0 * wavelengths * wavelengths);
}

Dbm freeSpaceReceived(Dbm transmitted, Db gainTx, Db gainRx, double distanceM, Hertz f) {
    return transmitted + gainTx + gainRx - freeSpaceLoss(distanceM, f);
}

} // namespace fw
