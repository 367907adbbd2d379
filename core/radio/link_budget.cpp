// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/link_budget.h"

#include "base/log_exp.h"

namespace fw {

Dbm powerPerResourceElement(Dbm total, int resourceBlocks) {
    return total - Db{decibels(12.0 * resourceBlocks)};
}

Dbm referenceSignalPerPort(Dbm total, int resourceBlocks, int ports) {
    return powerPerResourceElement(total, resourceBlocks) - Db{decibels(ports)};
}

Dbm thermalNoise(double bandwidthHz, Db noiseFigure) {
    return Dbm{kNoiseDensityDbmPerHz + decibels(bandwidthHz)} + noiseFigure;
}

double thermalNoiseDensityDbmPerHz(double temperatureK) {
    // In milliwatts and scaled by 1e23, so that the logarithm sees an ordinary number.
    return decibels(1.380649 * temperatureK) - 230.0 + 30.0;
}

} // namespace fw
