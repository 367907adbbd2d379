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

RainPolarisations rainPolarisations(Hertz f) {
    const double lf = log10Fixed(inGigahertz(f));
    const RainFits& fits = rainFits();
    return {{tenTo(valueOf(fits.logKh, lf)), valueOf(fits.alphaH, lf)},
            {tenTo(valueOf(fits.logKv, lf)), valueOf(fits.alphaV, lf)}};
}

RainLaw rainLaw(Hertz f, double elevationDeg, double tiltDeg) {
    const auto [h, v] = rainPolarisations(f);
    const double c = sinCosDegFixed(elevationDeg).cos, mix = c * c * sinCosDegFixed(2.0 * tiltDeg).cos;
    const double k = 0.5 * (h.k + v.k + (h.k - v.k) * mix);
    const double kaH = h.k * h.alpha, kaV = v.k * v.alpha;
    return {k, (kaH + kaV + (kaH - kaV) * mix) / (2.0 * k)};
}

double rainAttenuationDbPerKm(const RainLaw& law, double mmPerHour) {
    return law.k * exp2Fixed(law.alpha * log2Fixed(mmPerHour));
}

Range rainRange(Hertz f) { return rangeOf(inGigahertz(f), 1, 1000); }

} // namespace fw
