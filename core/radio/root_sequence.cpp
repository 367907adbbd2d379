// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/root_sequence.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace fw {

namespace {

constexpr int kLength = 839;
constexpr double kSequenceUs = 800, kRoundTripUsPerKm = 20.0 / 3;
// In order of N_CS: configuration 0 shifts nothing, so that all of the root is one preamble's zone.
constexpr std::array kShifts{0, 13, 15, 18, 22, 26, 32, 38, 46, 59, 76, 93, 119, 167, 279, 419};

} // namespace

ZeroCorrelation zeroCorrelation(int configuration) {
    const int c = std::clamp(configuration, 0, static_cast<int>(kShifts.size()) - 1);
    const int shift = kShifts[static_cast<std::size_t>(c)];
    const int perRoot = shift == 0 ? 1 : kLength / shift;
    return {c, shift, (kPreambles + perRoot - 1) / perRoot};
}

std::optional<ZeroCorrelation> zeroCorrelationFor(double radiusKm, double spreadUs, int guardSamples) {
    if (!(radiusKm >= 0) || !(spreadUs >= 0) || guardSamples < 0) return std::nullopt;
    const double need = (kRoundTripUsPerKm * radiusKm + spreadUs) * kLength / kSequenceUs + guardSamples;
    if (!(need <= kLength)) return std::nullopt;
    for (int c = 1; c < static_cast<int>(kShifts.size()); ++c)
        if (kShifts[static_cast<std::size_t>(c)] >= need) return zeroCorrelation(c);
    return zeroCorrelation(0);
}

double radiusOfShift(int shift, double spreadUs, int guardSamples) {
    return std::max(0.0, ((shift - guardSamples) * kSequenceUs / kLength - spreadUs) / kRoundTripUsPerKm);
}

bool rootsMeet(std::int32_t firstA, int rootsA, std::int32_t firstB, int rootsB) {
    const int ahead = (firstB - firstA + kLogicalRoots) % kLogicalRoots;
    return ahead < rootsA || kLogicalRoots - ahead < rootsB;
}

} // namespace fw
