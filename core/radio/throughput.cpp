// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/throughput.h"

#include "base/log_exp.h"

#include <algorithm>

namespace fw {
namespace {

// Code rates not among the check values in the tests' reference files are from memory.
constexpr CqiStep k64Qam[] = {{1, 2, 78},   {2, 2, 120},  {3, 2, 193},  {4, 2, 308},  {5, 2, 449},
                              {6, 2, 602},  {7, 4, 378},  {8, 4, 490},  {9, 4, 616},  {10, 6, 466},
                              {11, 6, 567}, {12, 6, 666}, {13, 6, 772}, {14, 6, 873}, {15, 6, 948}};
constexpr CqiStep k256Qam[] = {{1, 2, 78},   {2, 2, 193},  {3, 2, 449},  {4, 4, 378},  {5, 4, 490},
                               {6, 4, 616},  {7, 6, 466},  {8, 6, 567},  {9, 6, 666},  {10, 6, 772},
                               {11, 6, 873}, {12, 8, 711}, {13, 8, 797}, {14, 8, 885}, {15, 8, 948}};

} // namespace

double AttenuatedShannon::spectralEfficiency(double sinrDb) const {
    if (!(sinrDb >= snirMinDb) || sinrDb < -200) return 0;
    if (sinrDb > 200) return capBps; // beyond any link, both ends; keeps the exponential in its range
    return std::min(capBps, alpha * log2Fixed(1.0 + powerRatio(sinrDb)));
}

double spectralEfficiency(double sinrDb) { return AttenuatedShannon{}.spectralEfficiency(sinrDb); }

double spectralEfficiency(double sinrDb, EfficiencyModel model) {
    if (model == EfficiencyModel::attenuatedShannon) return spectralEfficiency(sinrDb);
    const int cqi = cqiAt(sinrDb);
    return cqi > 0 ? cqiTable()[static_cast<std::size_t>(cqi - 1)].efficiency() : 0;
}

std::span<const CqiStep> cqiTable() { return k64Qam; }
std::span<const CqiStep> cqiTable256Qam() { return k256Qam; }

int cqiAt(double sinrDb, std::span<const CqiStep> table) {
    // Without the cap: it stands for 64QAM at full rate, which the table ends with by itself.
    const double carried = AttenuatedShannon{0.6, -10.0, 100.0}.spectralEfficiency(sinrDb);
    int best = 0;
    for (const CqiStep& step : table)
        if (step.efficiency() <= carried) best = step.cqi;
    return best;
}

} // namespace fw
