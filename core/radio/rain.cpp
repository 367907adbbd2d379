// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/rain.h"

#include "base/log_exp.h"
#include "radio/rain_table.h"

namespace fw {
namespace {

double valueOf(const RainFit& fit, double lf) {
    double sum = fit.slope * lf + fit.offset;
    for (const RainFit::Term& t : fit.terms) {
        const double x = (lf - t.b) / t.c;
        sum += t.a * expFixed(-x * x);
    }
    return sum;
}

double tenTo(double x) { return powerRatio(10.0 * x); }

} // namespace

RainLaw rainLaw(Hertz f, double elevationDeg, double tiltDeg) {
    const double lf = log10Fixed(inGigahertz(f));
    const RainFits& fits = rainFits();
    const double kH = tenTo(valueOf(fits.logKh, lf)), kV = tenTo(valueOf(fits.logKv, lf));
    const double aH = valueOf(fits.alphaH, lf), aV = valueOf(fits.alphaV, lf);
    const double c = sinCosDegFixed(elevationDeg).cos, mix = c * c * sinCosDegFixed(2.0 * tiltDeg).cos;
    const double k = 0.5 * (kH + kV + (kH - kV) * mix);
    return {k, (kH * aH + kV * aV + (kH * aH - kV * aV) * mix) / (2.0 * k)};
}

double rainAttenuationDbPerKm(const RainLaw& law, double mmPerHour) {
    return law.k * exp2Fixed(law.alpha * log2Fixed(mmPerHour));
}

Range rainRange(Hertz f) { return rangeOf(inGigahertz(f), 1, 1000); }

} // namespace fw
