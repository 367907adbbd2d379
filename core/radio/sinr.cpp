// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/sinr.h"

#include "base/log_exp.h"

#include <limits>

namespace fw {
namespace {

double milliwatts(std::span<const Dbm> levels) {
    double sum = 0;
    for (const Dbm level : levels)
        if (level.v > -1000.0) sum += powerRatio(level.v); // -infinity dBm is no power
    return sum;
}

} // namespace

Dbm sumOfPowers(std::span<const Dbm> levels) {
    const double sum = milliwatts(levels);
    return {sum > 0 ? decibels(sum) : -std::numeric_limits<double>::infinity()};
}

Db sinr(Dbm signal, std::span<const Dbm> interferers, Dbm noise) {
    return signal - Dbm{decibels(milliwatts(interferers) + powerRatio(noise.v))};
}

} // namespace fw
