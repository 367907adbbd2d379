// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/urban_macro.h"

#include "base/log_exp.h"
#include "radio/tall_terminal.h"

#include <algorithm>
#include <cmath>

namespace fw {

double breakpointM(double hBsM, double hUtM, Hertz f) {
    constexpr double kEnvironmentM = 1.0, kRoundedLight = 3.0e8;
    return 4.0 * std::max(0.0, hBsM - kEnvironmentM) * std::max(0.0, hUtM - kEnvironmentM) * f.v /
           kRoundedLight;
}

Db umaLos(double d2dM, double hBsM, double hUtM, Hertz f) { return umaLosOver(1.0, d2dM, hBsM, hUtM, f); }

Db umaNlosLine(double d2dM, double hBsM, double hUtM, Hertz f) {
    return {13.54 + 39.08 * log10Fixed(distance3dM(d2dM, hBsM, hUtM)) + 20.0 * log10Fixed(inGigahertz(f)) -
            0.6 * (hUtM - 1.5)};
}

Db umaNlos(double d2dM, double hBsM, double hUtM, Hertz f) {
    return {std::max(umaLos(d2dM, hBsM, hUtM, f).v, umaNlosLine(d2dM, hBsM, hUtM, f).v)};
}

Db umaNlosOptional(double d2dM, double hBsM, double hUtM, Hertz f) {
    return {32.4 + 30.0 * log10Fixed(distance3dM(d2dM, hBsM, hUtM)) + 20.0 * log10Fixed(inGigahertz(f))};
}

UrbanRange umaRange(double d2dM, double hBsM, double hUtM, Hertz f) {
    return {rangeOf(d2dM, 10, 5000), rangeOf(inGigahertz(f), 0.5, 100), rangeOf(hBsM, 25, 25),
            rangeOf(hUtM, 1.5, 22.5)};
}

double umaTallFactor(double hUtM) {
    if (hUtM <= 13.0) return 0.0;
    const double x = (std::min(hUtM, 23.0) - 13.0) / 10.0;
    return x * std::sqrt(x);
}

double umaSightChance(double d2dM, double hUtM) {
    if (d2dM <= 18.0) return 1.0;
    if (d2dM > 4e4) return 18.0 / d2dM; // the exponentials have left the range of a double
    const double base = 18.0 / d2dM + expFixed(-d2dM / 63.0) * (1.0 - 18.0 / d2dM);
    if (hUtM <= 13.0) return base;
    const double r = d2dM / 100.0;
    return base * (1.0 + umaTallFactor(hUtM) * 1.25 * r * r * r * expFixed(-d2dM / 150.0));
}

} // namespace fw
