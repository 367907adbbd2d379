// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/spherical_earth.h"

#include "base/log_exp.h"

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

double cubeRoot(double x) { return powerFixed(x, 1.0 / 3.0); }

// Surface admittance K of the ground.
double admittance(Ground g, double radiusKm, double ghz, Polarisation polarisation) {
    const double loss = 18.0 * g.conductivitySPerM / ghz, e = g.permittivity;
    const double k = 0.036 / cubeRoot(radiusKm * ghz) / powerFixed((e - 1.0) * (e - 1.0) + loss * loss, 0.25);
    return polarisation == Polarisation::horizontal ? k : k * std::sqrt(e * e + loss * loss);
}

// Gain by the height of an antenna over the ground, dB.
double heightGain(double y, double beta, double k) {
    const double b = beta * y;
    const double gain = b > 2.0 ? 17.6 * std::sqrt(b - 1.1) - 5.0 * log10Fixed(b - 1.1) - 8.0
                                : 20.0 * log10Fixed(b + 0.1 * b * b * b);
    return std::max(gain, 2.0 + 20.0 * log10Fixed(k));
}

double mixedFirstTerm(const SphericalPath& path, Hertz f) {
    const double land = firstTermLoss(path, f, kLand).v;
    return path.seaShare > 0 ? land + path.seaShare * (firstTermLoss(path, f, kSea).v - land) : land;
}

struct Bulge {
    double clearanceM, neededM; ///< least height of the line over the surface, and that of 0.6 F1
};

// Where the line passes lowest over the round Earth.
Bulge bulgeOf(const SphericalPath& p, double wavelengthM) {
    const double d = p.distanceM, sum = p.txHeightM + p.rxHeightM;
    const double c = (p.txHeightM - p.rxHeightM) / sum;
    const double m = d * d / (4.0 * p.earthRadiusM * sum), m1 = m + 1.0;
    const double cosine = std::clamp(1.5 * c * std::sqrt(3.0 * m / (m1 * m1 * m1)), -1.0, 1.0);
    const double arc = atan2DegFixed(std::sqrt(1.0 - cosine * cosine), cosine);
    const double b = 2.0 * std::sqrt(m1 / (3.0 * m)) * sinCosDegFixed(60.0 + arc / 3.0).cos;
    const double d1 = std::clamp(0.5 * d * (1.0 + b), 0.0, d), d2 = d - d1, twice = 2.0 * p.earthRadiusM;
    return {((p.txHeightM - d1 * d1 / twice) * d2 + (p.rxHeightM - d2 * d2 / twice) * d1) / d,
            17.456 * std::sqrt(d1 * d2 * wavelengthM / (1000.0 * d))};
}

} // namespace

FirstTerm firstTermSteps(const SphericalPath& path, Hertz f, Ground ground) {
    const double ghz = inGigahertz(f), a = path.earthRadiusM / 1000.0;
    FirstTerm out;
    out.admittance = admittance(ground, a, ghz, path.polarisation);
    const double k = out.admittance, k2 = k * k;
    out.beta = (1.0 + 1.6 * k2 + 0.67 * k2 * k2) / (1.0 + 4.5 * k2 + 1.53 * k2 * k2);
    out.x = 21.88 * out.beta * cubeRoot(ghz / (a * a)) * path.distanceM / 1000.0;
    const double perMetre = 0.9575 * out.beta * cubeRoot(ghz * ghz / a);
    out.yTx = perMetre * path.txHeightM;
    out.yRx = perMetre * path.rxHeightM;
    out.along = {out.x >= 1.6 ? 11.0 + 10.0 * log10Fixed(out.x) - 17.6 * out.x
                              : -20.0 * log10Fixed(out.x) - 5.6488 * powerFixed(out.x, 1.425)};
    out.gainTx = {heightGain(out.yTx, out.beta, k)};
    out.gainRx = {heightGain(out.yRx, out.beta, k)};
    out.loss = {-out.along.v - out.gainTx.v - out.gainRx.v};
    return out;
}

Db firstTermLoss(const SphericalPath& path, Hertz f, Ground ground) {
    return firstTermSteps(path, f, ground).loss;
}

SphericalLoss sphericalEarthSteps(const SphericalPath& path, Hertz f, double wavelengthM) {
    const double roots = std::sqrt(path.txHeightM) + std::sqrt(path.rxHeightM);
    SphericalLoss out;
    out.horizonM = std::sqrt(2.0 * path.earthRadiusM) * roots;
    out.beyond = path.distanceM >= out.horizonM;
    if (out.beyond) {
        out.radiusM = path.earthRadiusM;
        out.firstTerm = {mixedFirstTerm(path, f)};
        out.total = {std::max(0.0, out.firstTerm.v)};
        return out;
    }
    const Bulge bulge = bulgeOf(path, wavelengthM);
    out.clearanceM = bulge.clearanceM;
    out.neededM = bulge.neededM;
    if (bulge.clearanceM > bulge.neededM) return out;
    // The Earth over which this path would just reach its horizon.
    SphericalPath grazing = path;
    grazing.earthRadiusM = 0.5 * (path.distanceM / roots) * (path.distanceM / roots);
    out.radiusM = grazing.earthRadiusM;
    out.firstTerm = {mixedFirstTerm(grazing, f)};
    const double loss = out.firstTerm.v;
    out.total = {loss <= 0 ? 0.0 : (1.0 - bulge.clearanceM / bulge.neededM) * loss};
    return out;
}

Db sphericalEarthLoss(const SphericalPath& path, Hertz f, double wavelengthM) {
    return sphericalEarthSteps(path, f, wavelengthM).total;
}

Range sphericalRange(Hertz f) { return rangeOf(inGigahertz(f), 0.03, 50); }

} // namespace fw
