// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/rural_macro.h"

#include "base/log_exp.h"
#include "radio/urban_macro.h"

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

double withSight(const StreetGrid& grid, double distanceM, double breakM, bool beyond, Hertz f) {
    if (!beyond) return ruralLosBeforeBreak(grid, distanceM, f).v;
    return ruralLosBeforeBreak(grid, breakM, f).v + 40.0 * log10Fixed(distanceM / breakM);
}

} // namespace

Db ruralLosBeforeBreak(const StreetGrid& grid, double distanceM, Hertz f) {
    const double h = exp2Fixed(1.72 * log2Fixed(grid.buildingM));
    return {20.0 * log10Fixed(40.0 * kPi * distanceM * inGigahertz(f) / 3.0) +
            std::min(0.03 * h, 10.0) * log10Fixed(distanceM) - std::min(0.044 * h, 14.77) +
            0.002 * log10Fixed(grid.buildingM) * distanceM};
}

double ruralBreakpointM(double hBsM, double hUtM, Hertz f) {
    constexpr double kRoundedLight = 3.0e8;
    return 2.0 * kPi * hBsM * hUtM * f.v / kRoundedLight;
}

Db ruralLos(const StreetGrid& grid, double d2dM, double hBsM, double hUtM, Hertz f) {
    const double breakM = ruralBreakpointM(hBsM, hUtM, f);
    return {withSight(grid, distance3dM(d2dM, hBsM, hUtM), breakM, d2dM > breakM, f)};
}

Db m2135Nlos(const StreetGrid& grid, double distanceM, double hBsM, double hMsM, Hertz f) {
    const double lh = log10Fixed(hBsM), ratio = grid.buildingM / hBsM, lt = log10Fixed(11.75 * hMsM);
    return {161.04 - 7.1 * log10Fixed(grid.streetM) + 7.5 * log10Fixed(grid.buildingM) -
            (24.37 - 3.7 * ratio * ratio) * lh + (43.42 - 3.1 * lh) * (log10Fixed(distanceM) - 3.0) +
            20.0 * log10Fixed(inGigahertz(f)) - (3.2 * lt * lt - 4.97)};
}

Db ruralNlos(const StreetGrid& grid, double d2dM, double hBsM, double hUtM, Hertz f) {
    const Db shadowed = m2135Nlos(grid, distance3dM(d2dM, hBsM, hUtM), hBsM, hUtM, f);
    return std::max(ruralLos(grid, d2dM, hBsM, hUtM, f), shadowed);
}

RuralRange ruralRange(const StreetGrid& grid, bool sight, double d2dM, double hBsM, double hUtM, Hertz f) {
    return {rangeOf(d2dM, 10, sight ? 10000 : 5000),
            rangeOf(inGigahertz(f), 0.5, 30),
            rangeOf(hBsM, 10, 150),
            rangeOf(hUtM, 1, 10),
            rangeOf(grid.buildingM, 5, 50),
            rangeOf(grid.streetM, 5, 50)};
}

Db m2135UrbanLos(double distanceM, double hBsM, double hMsM, Hertz f) {
    const double d = log10Fixed(distanceM), lf = log10Fixed(inGigahertz(f));
    const double breakM = breakpointM(hBsM, hMsM, f);
    if (breakM <= 0 || distanceM <= breakM) return {22.0 * d + 28.0 + 20.0 * lf};
    return {40.0 * d + 7.8 - 18.0 * log10Fixed(hBsM - 1.0) - 18.0 * log10Fixed(hMsM - 1.0) + 2.0 * lf};
}

Db m2135SuburbanLos(const StreetGrid& grid, double distanceM, double hBsM, double hMsM, Hertz f) {
    const double breakM = ruralBreakpointM(hBsM, hMsM, f);
    return {withSight(grid, distanceM, breakM, distanceM > breakM, f)};
}

} // namespace fw
