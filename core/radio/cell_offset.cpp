// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/cell_offset.h"

#include "base/log_exp.h"

#include <cmath>
#include <cstdlib>

namespace fw {

std::span<const int> cellOffsetsDb() {
    static constexpr int kOffsets[] = {-24, -22, -20, -18, -16, -14, -12, -10, -8, -6, -5, -4, -3, -2, -1, 0,
                                       1,   2,   3,   4,   5,   6,   8,   10,  12, 14, 16, 18, 20, 22, 24};
    return kOffsets;
}

Db nearestCellOffset(Db wanted) {
    int best = 0;
    for (const int offset : cellOffsetsDb()) {
        const double apart = std::fabs(offset - wanted.v), least = std::fabs(best - wanted.v);
        if (apart < least || (apart == least && std::abs(offset) < std::abs(best))) best = offset;
    }
    return {static_cast<double>(best)};
}

double rangeGrowth(Db bias, double n) { return powerRatio(bias.v / n); }

std::int64_t blockUsePercent(std::int64_t used, std::int64_t available) { return used * 100 / available; }

} // namespace fw
