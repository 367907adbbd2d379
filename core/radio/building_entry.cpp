// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/building_entry.h"

#include "base/log_exp.h"

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

// Rec. ITU-R P.2109-1, Table 1.
struct Coefficients {
    double r, s, t, u, v, w, x, y, z;
};
constexpr Coefficients kTraditional{12.64, 3.72, 0.96, 9.6, 2.0, 9.1, -3.0, 4.5, -2.0};
constexpr Coefficients kEfficient{28.19, -3.00, 8.48, 13.5, 3.8, 27.8, -2.9, 9.4, -2.1};

const Coefficients& coefficients(EntryClass cls) {
    return cls == EntryClass::efficient ? kEfficient : kTraditional;
}

double horizontalMedian(const Coefficients& k, double lf) { return k.r + k.s * lf + k.t * lf * lf; }

// The loss at a quantile of the standard normal: both of the source's terms share it.
EntryLoss partsAtQuantile(const Coefficients& k, double lf, double elevationDeg, double quantile) {
    EntryLoss out;
    out.quantile = quantile;
    out.horizontal = {horizontalMedian(k, lf)};
    out.elevation = {0.212 * std::fabs(elevationDeg)};
    out.mu1 = out.horizontal.v + out.elevation.v;
    out.mu2 = k.w + k.x * lf;
    out.sigma1 = k.u + k.v * lf;
    out.sigma2 = k.y + k.z * lf;
    out.a = quantile * out.sigma1 + out.mu1;
    out.b = quantile * out.sigma2 + out.mu2;
    out.total = {decibels(powerRatio(out.a) + powerRatio(out.b) + powerRatio(-3.0))};
    return out;
}
double lossAtQuantile(const Coefficients& k, double lf, double elevationDeg, double quantile) {
    return partsAtQuantile(k, lf, elevationDeg, quantile).total.v;
}

// Where a rising function crosses zero between low and high: false position, with the Illinois halving of the
// end that stays, so that it neither stalls nor leaves the interval.
template <class F>
double rootOf(F&& f, double low, double high) {
    double atLow = f(low), atHigh = f(high);
    if (atLow >= 0) return low;
    if (atHigh <= 0) return high;
    int kept = 0; // +1: the high end stayed last time, -1: the low end
    for (int step = 0; step < 60 && high - low > 1e-9; ++step) {
        const double x = low + (high - low) * (-atLow / (atHigh - atLow));
        const double y = f(x);
        if (std::fabs(y) < 1e-9) return x;
        if (y < 0) {
            low = x;
            atLow = y;
            if (kept == 1) atHigh *= 0.5;
            kept = 1;
        } else {
            high = x;
            atHigh = y;
            if (kept == -1) atLow *= 0.5;
            kept = -1;
        }
    }
    return 0.5 * (low + high);
}

// Probability that the loss stays at or below `lossDb`: the loss rises with the quantile.
double probabilityBelow(const Coefficients& k, double lf, double elevationDeg, double lossDb) {
    return normalCdfFixed(
        rootOf([&](double z) { return lossAtQuantile(k, lf, elevationDeg, z) - lossDb; }, -6, 6));
}

} // namespace

double normalQuantile(double p) {
    if (p == 0.5) return 0;
    const double q = std::clamp(p, 1e-9, 1.0 - 1e-9);
    if (q > 0.5) return -normalQuantile(1.0 - q); // the lower tail keeps its relative accuracy
    const double t = std::sqrt(-2.0 * lnFixed(q));
    double z =
        (2.515517 + t * (0.802853 + t * 0.010328)) / (1.0 + t * (1.432788 + t * (0.189269 + t * 0.001308))) -
        t;
    for (int step = 0; step < 3; ++step)
        z -= (normalCdfFixed(z) - q) / (0.39894228040143267794 * expFixed(-0.5 * z * z));
    return z;
}

EntryLoss entryLossSteps(EntryClass cls, Hertz f, double elevationDeg, double probability) {
    return partsAtQuantile(coefficients(cls), log10Fixed(inGigahertz(f)), elevationDeg,
                           normalQuantile(probability));
}

Db entryLoss(EntryClass cls, Hertz f, double elevationDeg, double probability) {
    return entryLossSteps(cls, f, elevationDeg, probability).total;
}

double entryLossProbability(EntryClass cls, Hertz f, double elevationDeg, double lossDb) {
    return probabilityBelow(coefficients(cls), log10Fixed(inGigahertz(f)), elevationDeg, lossDb);
}

Db entryLossHorizontalMedian(EntryClass cls, Hertz f) {
    return {horizontalMedian(coefficients(cls), log10Fixed(inGigahertz(f)))};
}

Db entryLossMedianMix(Hertz f, double elevationDeg, double efficientShare) {
    const double lf = log10Fixed(inGigahertz(f)), share = std::clamp(efficientShare, 0.0, 1.0);
    const double t = lossAtQuantile(kTraditional, lf, elevationDeg, 0),
                 e = lossAtQuantile(kEfficient, lf, elevationDeg, 0);
    const auto surplus = [&](double lossDb) {
        return (1.0 - share) * probabilityBelow(kTraditional, lf, elevationDeg, lossDb) +
               share * probabilityBelow(kEfficient, lf, elevationDeg, lossDb) - 0.5;
    };
    return {rootOf(surplus, std::min(t, e), std::max(t, e))}; // a mixture's median lies between the medians
}

Range entryRange(Hertz f) { return rangeOf(inGigahertz(f), 0.08, 100); }

} // namespace fw
