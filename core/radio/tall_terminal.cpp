// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/tall_terminal.h"

#include "base/log_exp.h"
#include "radio/urban_macro.h"

#include <algorithm>
#include <cmath>

namespace fw {

EnvironmentHeights environmentHeights(double d2dM, double hUtM) {
    EnvironmentHeights out;
    const double top = std::min(hUtM, 23.0);
    if (top < 13.0 || d2dM <= 18.0 || d2dM > 4e4) return out;
    const double r = d2dM / 100.0;
    const double c = umaTallFactor(top) * 1.25 * r * r * r * expFixed(-d2dM / 150.0);
    for (double h = 12.0; h <= top - 1.5; h += 3.0) out.others.push_back(h);
    if (!out.others.empty()) out.oneMetreChance = 1.0 / (1.0 + c);
    return out;
}

Db umaLosOver(double environmentM, double d2dM, double hBsM, double hUtM, Hertz f) {
    const double d = std::max(d2dM, 1.0), h = hBsM - hUtM, lf = 20.0 * log10Fixed(inGigahertz(f));
    const double l3d = log10Fixed(std::sqrt(d * d + h * h));
    constexpr double kRoundedLight = 3.0e8;
    const double breakM =
        4.0 * std::max(0.0, hBsM - environmentM) * std::max(0.0, hUtM - environmentM) * f.v / kRoundedLight;
    // Without a breakpoint (antenna at the height of its surroundings) there is no two-ray branch to take.
    if (breakM <= 0 || d2dM <= breakM) return {28.0 + 22.0 * l3d + lf};
    return {28.0 + 40.0 * l3d + lf - 9.0 * log10Fixed(breakM * breakM + h * h)};
}

Db umaLosMean(double d2dM, double hBsM, double hUtM, Hertz f) {
    const EnvironmentHeights heights = environmentHeights(d2dM, hUtM);
    const double low = umaLosOver(1.0, d2dM, hBsM, hUtM, f).v;
    if (heights.others.empty()) return {low};
    double sum = 0;
    for (const double h : heights.others) sum += umaLosOver(h, d2dM, hBsM, hUtM, f).v;
    const double high = sum / static_cast<double>(heights.others.size());
    return {heights.oneMetreChance * low + (1.0 - heights.oneMetreChance) * high};
}

} // namespace fw
