// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/log_exp.h"

#include <cmath>

namespace fw {
namespace {

// atan of t in [0, 1]: reduced twice by the half-angle identity atan t = 2 atan(t / (1 + sqrt(1 + t^2))),
// then a series.
double atanUnit(double t) {
    t = t / (1.0 + std::sqrt(1.0 + t * t)); // <= tan 22.5 deg
    t = t / (1.0 + std::sqrt(1.0 + t * t)); // <= tan 11.25 deg = 0.199
    const double t2 = t * t;
    double p = 0;
    for (int k = 19; k >= 1; k -= 2) p = p * t2 + ((k / 2) % 2 ? -1.0 : 1.0) / k;
    return 4.0 * t * p;
}

} // namespace

double atan2DegFixed(double y, double x) {
    const double ax = std::fabs(x), ay = std::fabs(y);
    if (ax == 0 && ay == 0) return 0;
    double a = ay <= ax ? atanUnit(ay / ax) : 1.57079632679489661923 - atanUnit(ax / ay);
    if (x < 0) a = 3.14159265358979323846 - a;
    a *= 57.29577951308232087680;
    return y < 0 ? -a : a;
}

SinCos sinCosDegFixed(double deg) {
    const double quarter = std::nearbyint(deg / 90.0);
    const double r = (deg - quarter * 90.0) * 0.01745329251994329577, r2 = r * r; // |r| <= pi/4
    double s = 0, c = 0;
    for (int k = 17; k >= 1; k -= 2) { // Horner on 1 - r2/((k+1)(k+2)) ...
        s = 1.0 - r2 / ((k + 1) * (k + 2.0)) * (k == 17 ? 1.0 : s);
        c = 1.0 - r2 / (k * (k + 1.0)) * (k == 17 ? 1.0 : c);
    }
    s *= r;
    switch (static_cast<long long>(quarter) & 3) {
    case 0:
        return {s, c};
    case 1:
        return {c, -s};
    case 2:
        return {-s, -c};
    default:
        return {-c, s};
    }
}

double normalCdfFixed(double z) {
    if (z <= -37) return 0;
    if (z >= 9) return 1;
    const double a = std::fabs(z);
    const double density = 0.39894228040143267794 * expFixed(-0.5 * a * a);
    double upper = 0; // P(Z > a)
    if (a < 3.0) {    // Phi(a) - 1/2 = density * (a + a^3/3 + a^5/15 + ...)
        double term = a, sum = a;
        for (int k = 1; k < 60; ++k) {
            term *= a * a / (2 * k + 1);
            sum += term;
        }
        upper = 0.5 - density * sum;
    } else { // Laplace's continued fraction, evaluated from the inside
        double f = a;
        for (int k = 60; k >= 1; --k) f = a + k / f;
        upper = density / f;
    }
    return z > 0 ? 1.0 - upper : upper;
}

} // namespace fw
