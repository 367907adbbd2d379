// SPDX-License-Identifier: GPL-3.0-or-later
// Logarithm, exponential and arc tangent of our own for everything that becomes a result. The library's
// change their last bits between processors; these are plain +, -, *, / and bit moves in a fixed order, so
// that the same plan gives the same bytes everywhere. Written inline, without branches that stop a loop from
// being vectorised.
#pragma once

#include <bit>
#include <cstdint>

namespace fw {

/// log2 of a positive, finite, normal x. Error below 2e-14 in absolute terms. Zero, negative, NaN: undefined
/// value.
inline double log2Fixed(double x) {
    const auto bits = std::bit_cast<std::uint64_t>(x);
    // Bring the mantissa into [sqrt(1/2), sqrt(2)) so that the series runs over a small, centred argument.
    const auto shifted = bits + (0x3ff0000000000000ull - 0x3fe6a09e667f3bcdull);
    const auto e = static_cast<std::int64_t>(shifted >> 52) - 1023;
    const double m = std::bit_cast<double>((shifted & 0x000fffffffffffffull) + 0x3fe6a09e667f3bcdull);
    const double t = (m - 1.0) / (m + 1.0), t2 = t * t; // |t| <= 0.1716: log m = 2 atanh t
    double p = 1.0 / 17.0;
    p = p * t2 + 1.0 / 15.0;
    p = p * t2 + 1.0 / 13.0;
    p = p * t2 + 1.0 / 11.0;
    p = p * t2 + 1.0 / 9.0;
    p = p * t2 + 1.0 / 7.0;
    p = p * t2 + 1.0 / 5.0;
    p = p * t2 + 1.0 / 3.0;
    p = p * t2 + 1.0;
    return static_cast<double>(e) + 2.0 * t * p * 1.4426950408889634074;
}

/// 2^x, x held to [-1022, 1023]. Relative error below 1e-14.
inline double exp2Fixed(double x) {
    x = x < -1022.0 ? -1022.0 : x > 1023.0 ? 1023.0 : x;
    constexpr double kShift = 6755399441055744.0; // 1.5 * 2^52: adding it rounds to the nearest whole number
    const double r = (x + kShift) - kShift;
    const double f = (x - r) * 0.69314718055994530942;
    double p = 1.0 / 6227020800.0;
    p = p * f + 1.0 / 479001600.0;
    p = p * f + 1.0 / 39916800.0;
    p = p * f + 1.0 / 3628800.0;
    p = p * f + 1.0 / 362880.0;
    p = p * f + 1.0 / 40320.0;
    p = p * f + 1.0 / 5040.0;
    p = p * f + 1.0 / 720.0;
    p = p * f + 1.0 / 120.0;
    p = p * f + 1.0 / 24.0;
    p = p * f + 1.0 / 6.0;
    p = p * f + 0.5;
    p = p * f + 1.0;
    p = p * f + 1.0;
    const auto scale = static_cast<std::uint64_t>(static_cast<std::int64_t>(r) + 1023) << 52;
    return p * std::bit_cast<double>(scale);
}

inline double log10Fixed(double x) { return log2Fixed(x) * 0.30102999566398119521; }
inline double lnFixed(double x) { return log2Fixed(x) * 0.69314718055994530942; }
inline double expFixed(double x) { return exp2Fixed(x * 1.4426950408889634074); }
/// base^exponent for a base above zero, held as exp2Fixed holds it.
inline double powerFixed(double base, double exponent) { return exp2Fixed(exponent * log2Fixed(base)); }
/// Decibels of a positive power ratio, and back.
inline double decibels(double ratio) { return 10.0 * log10Fixed(ratio); }
inline double powerRatio(double db) { return exp2Fixed(db * 0.33219280948873623479); }

/// Arc tangent of y over x in degrees, (-180, 180], like atan2; 0 for (0, 0). Error below 1e-10 degrees.
double atan2DegFixed(double y, double x);
/// Sine and cosine of an angle in degrees, |deg| < 1e6. Error below 1e-15.
struct SinCos {
    double sin = 0, cos = 1;
};
SinCos sinCosDegFixed(double deg);
/// Standard normal distribution function. Error below 1e-9. (Abramowitz and Stegun 7.1.5/7.1.14 forms, own
/// code.)
double normalCdfFixed(double z);

} // namespace fw
