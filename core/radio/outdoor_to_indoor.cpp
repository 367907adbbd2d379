// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/outdoor_to_indoor.h"

#include "base/log_exp.h"

namespace fw {

Db materialLoss(WallMaterial material, Hertz f) {
    const double ghz = inGigahertz(f);
    switch (material) {
    case WallMaterial::coatedGlass:
        return {23.0 + 0.3 * ghz};
    case WallMaterial::concrete:
        return {5.0 + 4.0 * ghz};
    case WallMaterial::wood:
        return {4.85 + 0.12 * ghz};
    case WallMaterial::glass:
        break;
    }
    return {2.0 + 0.2 * ghz};
}

Db wallLoss(WallKind kind, Hertz f) {
    const bool high = kind == WallKind::high;
    const double glassShare = high ? 0.7 : 0.3;
    const Db glass = materialLoss(high ? WallMaterial::coatedGlass : WallMaterial::glass, f);
    const Db concrete = materialLoss(WallMaterial::concrete, f);
    return {5.0 - decibels(glassShare * powerRatio(-glass.v) + (1.0 - glassShare) * powerRatio(-concrete.v))};
}

double wallSpreadDb(WallKind kind) { return kind == WallKind::high ? 6.5 : 4.4; }

Db indoorDepthLoss(double depthM) { return {0.5 * depthM}; }

Db indoorLossMedian(WallKind kind, Hertz f) {
    return {wallLoss(kind, f).v + indoorDepthLoss(kMedianDepthM).v};
}

Db indoorLossMedianMix(Hertz f, double highShare) {
    const double low = indoorLossMedian(WallKind::low, f).v, high = indoorLossMedian(WallKind::high, f).v;
    double from = low, to = high; // the mixture's median lies between those of its parts
    for (int k = 0; k < 40; ++k) {
        const double middle = (from + to) / 2;
        const double below = (1 - highShare) * normalCdfFixed((middle - low) / wallSpreadDb(WallKind::low)) +
                             highShare * normalCdfFixed((middle - high) / wallSpreadDb(WallKind::high));
        (below < 0.5 ? from : to) = middle;
    }
    return {(from + to) / 2};
}

Range penetrationRange(Hertz f) { return rangeOf(inGigahertz(f), 0.5, 100); }

} // namespace fw
