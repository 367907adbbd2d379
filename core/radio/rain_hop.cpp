// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/rain_hop.h"

#include "base/log_exp.h"

#include <cmath>

namespace fw {
namespace {

constexpr double kLeastPercent = 0.001, kMostPercent = 1;

} // namespace

double rainDistanceFactor(double km, Hertz f, const RainLaw& law, double mmPerHour001) {
    constexpr double kMost = 2.5;
    const double denominator = 0.477 * powerFixed(km, 0.633) * powerFixed(mmPerHour001, 0.073 * law.alpha) *
                                   powerFixed(inGigahertz(f), 0.123) -
                               10.579 * (1.0 - expFixed(-0.024 * km));
    return denominator > 1.0 / kMost ? 1.0 / denominator : kMost;
}

Db rainExceeded001(double km, Hertz f, const RainLaw& law, double mmPerHour001) {
    return {rainAttenuationDbPerKm(law, mmPerHour001) * km * rainDistanceFactor(km, f, law, mmPerHour001)};
}

RainScaling rainScaling(Hertz f, RainReading reading) {
    const double ghz = inGigahertz(f);
    RainScaling s;
    if (ghz > 10.0) {
        const double lf = log10Fixed(ghz / 10.0);
        s.c0 += 0.4 * (reading == RainReading::logOfPower ? 0.8 * lf : powerFixed(lf, 0.8));
    }
    s.c1 = powerFixed(0.07, s.c0) * powerFixed(0.12, 1.0 - s.c0);
    s.c2 = 0.855 * s.c0 + 0.546 * (1.0 - s.c0);
    s.c3 = 0.139 * s.c0 + 0.043 * (1.0 - s.c0);
    return s;
}

double rainRatio(const RainScaling& s, double percent) {
    return s.c1 * powerFixed(percent, -(s.c2 + s.c3 * log10Fixed(percent)));
}

RainOutage rainOutage(Db exceeded001, double marginDb, const RainScaling& s) {
    const auto exceeded = [&](double percent) { return exceeded001.v * rainRatio(s, percent); };
    if (marginDb <= 0 || marginDb < exceeded(kMostPercent)) return {kMostPercent, Range::above};
    if (marginDb > exceeded(kLeastPercent)) return {kLeastPercent, Range::below};
    // log10 of the ratio is a parabola in x = log10 of the share; between the bounds it falls.
    const double rest = log10Fixed(marginDb / exceeded001.v) - log10Fixed(s.c1);
    const double x = (-s.c2 + std::sqrt(s.c2 * s.c2 - 4.0 * s.c3 * rest)) / (2.0 * s.c3);
    return {powerFixed(10.0, x), Range::inside};
}

RainHopRange rainHopRange(double km, Hertz f) {
    return {rangeOf(km, 0, 60), rangeOf(inGigahertz(f), 1, 100)};
}

} // namespace fw
