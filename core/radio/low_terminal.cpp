// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/low_terminal.h"

#include "base/log_exp.h"
#include "radio/building_entry.h"

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

constexpr double kSpreadDb = 7.0;

double held(double probability) { return std::clamp(probability, 1e-9, 1.0 - 1e-9); }
double logMegahertz(Hertz f) { return log10Fixed(inMegahertz(f)); }
double logKilometres(double distanceM) { return log10Fixed(distanceM / 1000.0); }

} // namespace

double lowTerminalAreaDb(LowTerminalArea area) {
    switch (area) {
    case LowTerminalArea::urban:
        return 6.8;
    case LowTerminalArea::denseUrban:
        return 2.3;
    case LowTerminalArea::suburban:
        break;
    }
    return 0;
}

double lowTerminalSightM(double probability) {
    const double p = held(probability);
    if (p >= 0.45) return 79.2 - 70.0 * p;
    const double lp = log10Fixed(p);
    return 212.0 * lp * lp - 64.0 * lp;
}

Db lowTerminalLos(double distanceM, Hertz f, double probability) {
    const double median = 32.45 + 20.0 * logMegahertz(f) + 20.0 * logKilometres(distanceM);
    const double rayleigh = std::sqrt(-2.0 * lnFixed(1.0 - held(probability)));
    return {median + 1.5624 * kSpreadDb * (rayleigh - 1.1774)};
}

Db lowTerminalNlos(LowTerminalArea area, double distanceM, Hertz f, double probability) {
    const double median =
        9.5 + 45.0 * logMegahertz(f) + 40.0 * logKilometres(distanceM) + lowTerminalAreaDb(area);
    return {median + kSpreadDb * normalQuantile(probability)};
}

Db lowTerminalLoss(LowTerminalArea area, double distanceM, Hertz f, double probability, double transitionM) {
    const double sightM = lowTerminalSightM(probability);
    if (distanceM <= sightM) return lowTerminalLos(distanceM, f, probability);
    if (distanceM >= sightM + transitionM) return lowTerminalNlos(area, distanceM, f, probability);
    const double from = lowTerminalLos(sightM, f, probability).v;
    const double to = lowTerminalNlos(area, sightM + transitionM, f, probability).v;
    return {from + (to - from) * (distanceM - sightM) / transitionM};
}

Range lowTerminalRange(Hertz f) { return rangeOf(inGigahertz(f), 0.3, 3); }

} // namespace fw
