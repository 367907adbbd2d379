// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/clutter_loss.h"

#include "base/log_exp.h"
#include "radio/building_entry.h"
#include "radio/knife_edge.h"

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

// Eq. (3a) to (6) at a distance, before the bound by the loss at 2 km.
TerrestrialClutter lossAt(double km, double lf, double quantile) {
    TerrestrialClutter out;
    out.distanceM = km * 1000.0;
    out.lowDb = -2.0 * log10Fixed(powerFixed(10, -5.0 * lf - 12.5) + powerFixed(10, -16.5));
    out.farDb = 32.98 + 23.9 * log10Fixed(km) + 3.0 * lf;
    constexpr double kNearSpread = 4, kFarSpread = 6;
    const double a = powerFixed(10, -0.2 * out.lowDb), b = powerFixed(10, -0.2 * out.farDb);
    out.spreadDb = std::sqrt((kNearSpread * kNearSpread * a + kFarSpread * kFarSpread * b) / (a + b));
    out.medianDb = -5.0 * log10Fixed(a + b);
    out.quantile = quantile;
    out.total = {out.medianDb + out.spreadDb * quantile};
    return out;
}

} // namespace

double usualClutterHeightM(ClutterKind kind) {
    switch (kind) {
    case ClutterKind::urban:
    case ClutterKind::trees:
        return 15;
    case ClutterKind::dense:
        return 20;
    case ClutterKind::water:
    case ClutterKind::rural:
    case ClutterKind::suburban:
        break;
    }
    return 10;
}

Db terminalClutterLoss(ClutterKind kind, Hertz f, double terminalM, double clutterM, double streetWidthM) {
    if (terminalM >= clutterM) return {0.0};
    const double ghz = inGigahertz(f);
    if (kind == ClutterKind::water || kind == ClutterKind::rural)
        return {-(21.8 + 6.2 * log10Fixed(ghz)) * log10Fixed(terminalM / clutterM)};
    return {knifeEdgeLoss(terminalClutterEdge(f, terminalM, clutterM, streetWidthM).nu).v - 6.03};
}

ClutterEdge terminalClutterEdge(Hertz f, double terminalM, double clutterM, double streetWidthM) {
    const double drop = clutterM - terminalM, downDeg = atan2DegFixed(drop, streetWidthM);
    return {downDeg, 0.342 * std::sqrt(inGigahertz(f)) * std::sqrt(drop * downDeg)};
}

Range terminalClutterRange(Hertz f) { return rangeOf(inGigahertz(f), 0.03, 3); }

TerrestrialClutter terrestrialClutterSteps(Hertz f, double distanceM, double share) {
    const double lf = log10Fixed(inGigahertz(f)), quantile = normalQuantile(share);
    const TerrestrialClutter here = lossAt(std::min(distanceM / 1000.0, 2.0), lf, quantile);
    const TerrestrialClutter bound = lossAt(2.0, lf, quantile);
    return bound.total.v < here.total.v ? bound : here;
}

Db terrestrialClutterLoss(Hertz f, double distanceM, double share) {
    return terrestrialClutterSteps(f, distanceM, share).total;
}

ClutterRange terrestrialClutterRange(Hertz f, double distanceM) {
    return {distanceM >= 250.0 ? Range::inside : Range::below, rangeOf(inGigahertz(f), 0.5, 67)};
}

SlantClutter slantClutterSteps(Hertz f, double elevationDeg, double share) {
    const double p = std::clamp(share, 1e-9, 1.0 - 1e-9), left = 1.0 - elevationDeg / 90.0;
    constexpr double kGrazing = 0.05;
    SlantClutter out;
    out.angleDeg = degrees(kGrazing * left) + elevationDeg;
    const SinCos angle = sinCosDegFixed(out.angleDeg);
    const double cot = std::max(angle.cos / angle.sin, 1e-300);
    out.k1 = 93.0 * powerFixed(inGigahertz(f), 0.175);
    out.base = -out.k1 * lnFixed(1.0 - p) * cot;
    out.exponent = 0.5 * left;
    out.quantile = normalQuantile(p);
    out.total = {powerFixed(out.base, out.exponent) - 1.0 + 0.6 * out.quantile};
    return out;
}

Db slantClutterLoss(Hertz f, double elevationDeg, double share) {
    return slantClutterSteps(f, elevationDeg, share).total;
}

Range slantClutterRange(Hertz f) { return rangeOf(inGigahertz(f), 10, 100); }

} // namespace fw
