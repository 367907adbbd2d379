// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/urban_micro.h"

#include "base/log_exp.h"
#include "radio/urban_macro.h"

#include <algorithm>
#include <cmath>

namespace fw {

Db umiLos(double d2dM, double hBsM, double hUtM, Hertz f) {
    const double d3d = log10Fixed(distance3dM(d2dM, hBsM, hUtM)), lf = 20.0 * log10Fixed(inGigahertz(f));
    const double dbp = breakpointM(hBsM, hUtM, f), h = hBsM - hUtM;
    if (dbp <= 0 || d2dM <= dbp) return {32.4 + 21.0 * d3d + lf};
    return {32.4 + 40.0 * d3d + lf - 9.5 * log10Fixed(dbp * dbp + h * h)};
}

Db umiNlosLine(double d2dM, double hBsM, double hUtM, Hertz f) {
    return {22.4 + 35.3 * log10Fixed(distance3dM(d2dM, hBsM, hUtM)) + 21.3 * log10Fixed(inGigahertz(f)) -
            0.3 * (hUtM - 1.5)};
}

Db umiNlos(double d2dM, double hBsM, double hUtM, Hertz f) {
    return {std::max(umiLos(d2dM, hBsM, hUtM, f).v, umiNlosLine(d2dM, hBsM, hUtM, f).v)};
}

UrbanRange umiRange(double d2dM, double hBsM, double hUtM, Hertz f) {
    UrbanRange range = umaRange(d2dM, hBsM, hUtM, f); // the two differ in the station's height only
    range.station = rangeOf(hBsM, 10, 10);
    return range;
}

double umiSightChance(double d2dM) {
    if (d2dM <= 18.0) return 1.0;
    if (d2dM > 2e4) return 18.0 / d2dM; // the exponential has left the range of a double
    return 18.0 / d2dM + expFixed(-d2dM / 36.0) * (1.0 - 18.0 / d2dM);
}

} // namespace fw
