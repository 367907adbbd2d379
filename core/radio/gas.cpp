// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/gas.h"

#include "base/log_exp.h"
#include "radio/gas_lines.h"

#include <cmath>

namespace fw {
namespace {

// Eq. (5): how a line of this width (GHz) and this interference correction attenuates at f.
double lineShape(double f, double f0, double width, double correction) {
    const double below = f0 - f, above = f0 + f, w2 = width * width;
    return f / f0 *
           ((width - correction * below) / (below * below + w2) +
            (width - correction * above) / (above * above + w2));
}

struct State {
    double p, e, theta; ///< dry and vapour pressure (hPa), 300 K over the temperature
};

double oxygen(double f, const State& s) {
    const double theta08 = powerFixed(s.theta, 0.8);
    double sum = 0;
    for (const GasLine& l : oxygenLines()) {
        const double strength =
            l.c1 * 1e-7 * s.p * s.theta * s.theta * s.theta * expFixed(l.c2 * (1.0 - s.theta));
        const double pressed = l.c3 * 1e-4 * (s.p * powerFixed(s.theta, 0.8 - l.c4) + 1.1 * s.e * s.theta);
        const double width = std::sqrt(pressed * pressed + 2.25e-6); // Zeeman splitting
        const double correction = (l.c5 + l.c6 * s.theta) * 1e-4 * (s.p + s.e) * theta08;
        sum += strength * lineShape(f, l.ghz, width, correction);
    }
    // The dry continuum: Debye spectrum of oxygen and pressure-induced attenuation of nitrogen.
    const double d = 5.6e-4 * (s.p + s.e) * theta08, ratio = f / d;
    sum += f * s.p * s.theta * s.theta *
           (6.14e-5 / (d * (1.0 + ratio * ratio)) +
            1.4e-12 * s.p * powerFixed(s.theta, 1.5) / (1.0 + 1.9e-5 * f * std::sqrt(f)));
    return sum;
}

double water(double f, const State& s) {
    double sum = 0;
    for (const GasLine& l : waterLines()) {
        const double strength =
            l.c1 * 0.1 * s.e * powerFixed(s.theta, 3.5) * expFixed(l.c2 * (1.0 - s.theta));
        const double pressed =
            l.c3 * 1e-4 * (s.p * powerFixed(s.theta, l.c4) + l.c5 * s.e * powerFixed(s.theta, l.c6));
        const double doppler = 2.1316e-12 * l.ghz * l.ghz / s.theta;
        const double width = 0.535 * pressed + std::sqrt(0.217 * pressed * pressed + doppler);
        sum += strength * lineShape(f, l.ghz, width, 0.0);
    }
    return sum;
}

} // namespace

GasAttenuation gasAttenuation(Hertz f, const Air& air) {
    const double ghz = inGigahertz(f);
    const State s{air.dryPressureHPa, air.vapourGPerM3 * air.temperatureK / 216.7, 300.0 / air.temperatureK};
    return {0.1820 * ghz * oxygen(ghz, s), 0.1820 * ghz * water(ghz, s)};
}

Range gasRange(Hertz f) { return rangeOf(inGigahertz(f), 1, 1000); }

} // namespace fw
