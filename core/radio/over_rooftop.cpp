// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/over_rooftop.h"

#include "base/log_exp.h"
#include "radio/free_space.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace fw {
namespace {

// Loss by the angle between street and path.
double orientationDb(double deg) {
    if (deg < 35.0) return -10.0 + 0.354 * deg;
    if (deg < 55.0) return 2.5 + 0.075 * (deg - 35.0);
    return 4.0 - 0.114 * (deg - 55.0);
}

struct Path {
    double distanceM, aboveRoofM, roofM, megahertz;
};

// Many rows: the loss has settled into a law of its own.
double manyRows(const Path& p, const RoofRows& town, RowTerms& terms) {
    const bool above = p.aboveRoofM > 0, high = p.megahertz > 2000.0;
    const double belowBy = above ? 0.0 : p.aboveRoofM, km = p.distanceM / 1000.0;
    double fixed = above ? (high ? 71.4 : 54.0) : (high ? 73.0 : 54.0);
    fixed -= p.distanceM >= 500.0 ? 0.8 * belowBy : 1.6 * belowBy * km;
    const double gain = above ? -18.0 * log10Fixed(1.0 + p.aboveRoofM) : 0.0;
    const double slope = above ? 18.0 : 18.0 - 15.0 * p.aboveRoofM / p.roofM;
    const double byFrequency =
        high ? -8.0 : -4.0 + (town.metropolitan ? 1.5 : 0.7) * (p.megahertz / 925.0 - 1.0);
    terms = {true, {gain}, fixed, slope, byFrequency, 0};
    return gain + fixed + slope * log10Fixed(km) + byFrequency * log10Fixed(p.megahertz) -
           9.0 * log10Fixed(town.spacingM);
}

// Few rows: the field on the last roof against free space.
double fewRows(const Path& p, double spacingM, double lambda, RowTerms& terms) {
    double field = spacingM / p.distanceM;
    if (p.aboveRoofM >= 1.0) {
        const double x = p.aboveRoofM / p.distanceM * std::sqrt(spacingM / lambda);
        field = 2.35 * exp2Fixed(0.9 * log2Fixed(x));
    } else if (p.aboveRoofM <= -1.0) {
        const double angle = radians(atan2DegFixed(p.aboveRoofM, spacingM));
        const double slant = std::sqrt(p.aboveRoofM * p.aboveRoofM + spacingM * spacingM);
        field *= std::sqrt(lambda / slant) * (1.0 / angle - 1.0 / (2.0 * kPi + angle)) / (2.0 * kPi);
    }
    terms.field = field;
    return -10.0 * log10Fixed(field * field);
}

} // namespace

OverRooftop overRooftopLoss(const RoofRows& town, double distanceM, double stationM, double terminalM,
                            Hertz f) {
    const double lambda = wavelengthM(f), mhz = inMegahertz(f), lf = log10Fixed(mhz);
    const Path p{distanceM, stationM - town.roofM, town.roofM, mhz};
    OverRooftop out;
    out.freeSpace = {32.4 + 20.0 * log10Fixed(distanceM / 1000.0) + 20.0 * lf};
    out.orientation = {orientationDb(town.orientationDeg)};
    out.roofToStreet = {-8.2 - 10.0 * log10Fixed(town.streetWidthM) + 10.0 * lf +
                        20.0 * log10Fixed(town.roofM - terminalM) + out.orientation.v};
    out.settledM = p.aboveRoofM == 0 ? std::numeric_limits<double>::infinity()
                                     : lambda * distanceM * distanceM / (p.aboveRoofM * p.aboveRoofM);
    out.rows = {town.lengthM > out.settledM ? manyRows(p, town, out.terms)
                                            : fewRows(p, town.spacingM, lambda, out.terms)};
    out.total = {out.freeSpace.v + std::max(0.0, out.roofToStreet.v + out.rows.v)};
    return out;
}

OverRooftopRange overRooftopRange(double distanceM, double stationM, double terminalM, Hertz f) {
    return {rangeOf(distanceM, 20, 5000), rangeOf(inGigahertz(f), 0.8, 26), rangeOf(stationM, 4, 55),
            rangeOf(terminalM, 1, 3)};
}

} // namespace fw
