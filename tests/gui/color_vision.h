// SPDX-License-Identifier: GPL-3.0-or-later
// Colours as people see them: contrast, difference, and how they look without one kind of cone.
#pragma once

#include <QColor>

#include <algorithm>
#include <array>
#include <cmath>

namespace fwtest {

enum class Vision { usual, protan, deutan, tritan };
inline constexpr std::array kVisions{Vision::usual, Vision::protan, Vision::deutan, Vision::tritan};

using Linear = std::array<double, 3>;

inline double toLinear(double c) { return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4); }

/// Linear sRGB of an opaque colour as seen. Source: Machado, Oliveira, Fernandes: A Physiologically-based
/// Model for Simulation of Color Vision Deficiency, IEEE TVCG 15 (6), 2009, matrices of severity 1.0.
inline Linear seen(const QColor& c, Vision v) {
    static const std::array<std::array<double, 9>, 4> matrices{
        {{1, 0, 0, 0, 1, 0, 0, 0, 1},
         {0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998},
         {0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.011820, 0.042940, 0.968881},
         {1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.303900}}};
    const Linear in{toLinear(c.redF()), toLinear(c.greenF()), toLinear(c.blueF())};
    const auto& m = matrices[static_cast<std::size_t>(v)];
    Linear out{};
    for (std::size_t k = 0; k < 3; ++k)
        out[k] = std::clamp(m[3 * k] * in[0] + m[3 * k + 1] * in[1] + m[3 * k + 2] * in[2], 0.0, 1.0);
    return out;
}

/// Contrast ratio, 1 to 21. Source: WCAG 2.2, definitions of contrast ratio and relative luminance.
inline double contrast(const QColor& a, const QColor& b) {
    const auto luminance = [](const QColor& c) {
        const Linear l = seen(c, Vision::usual);
        return 0.2126 * l[0] + 0.7152 * l[1] + 0.0722 * l[2];
    };
    const double x = luminance(a), y = luminance(b);
    return (std::max(x, y) + 0.05) / (std::min(x, y) + 0.05);
}

/// A colour with alpha over an opaque one.
inline QColor over(const QColor& top, const QColor& below) {
    const double a = top.alphaF();
    const auto mix = [a](double t, double b) { return static_cast<float>(t * a + b * (1 - a)); };
    return QColor::fromRgbF(mix(top.redF(), below.redF()), mix(top.greenF(), below.greenF()),
                            mix(top.blueF(), below.blueF()));
}

struct Lab {
    double l = 0, a = 0, b = 0;
};

/// CIE L*a*b* for the white of sRGB (D65).
inline Lab labOf(const Linear& c) {
    const double x = (0.4124564 * c[0] + 0.3575761 * c[1] + 0.1804375 * c[2]) / 0.95047,
                 y = 0.2126729 * c[0] + 0.7151522 * c[1] + 0.0721750 * c[2],
                 z = (0.0193339 * c[0] + 0.1191920 * c[1] + 0.9503041 * c[2]) / 1.08883;
    const auto f = [](double t) { return t > 216.0 / 24389 ? std::cbrt(t) : (24389.0 / 27 * t + 16) / 116; };
    return {116 * f(y) - 16, 500 * (f(x) - f(y)), 200 * (f(y) - f(z))};
}

/// CIEDE2000. Source: Sharma, Wu, Dalal: The CIEDE2000 Color-Difference Formula, Color Research and
/// Application 30 (1), 2005.
inline double difference(const Lab& p, const Lab& q) {
    constexpr double pi = 3.14159265358979323846, deg = pi / 180;
    const double meanC = (std::hypot(p.a, p.b) + std::hypot(q.a, q.b)) / 2;
    const double c7 = std::pow(meanC, 7), g = 0.5 * (1 - std::sqrt(c7 / (c7 + std::pow(25.0, 7))));
    const double a1 = p.a * (1 + g), a2 = q.a * (1 + g), c1 = std::hypot(a1, p.b), c2 = std::hypot(a2, q.b);
    const auto hue = [](double b, double a) {
        const double h = a == 0 && b == 0 ? 0 : std::atan2(b, a);
        return h < 0 ? h + 2 * pi : h;
    };
    const double h1 = hue(p.b, a1), h2 = hue(q.b, a2);
    double dh = c1 * c2 == 0 ? 0 : h2 - h1, mean = h1 + h2;
    if (dh > pi) dh -= 2 * pi;
    if (dh < -pi) dh += 2 * pi;
    if (c1 * c2 != 0) {
        if (std::abs(h1 - h2) > pi) mean += mean < 2 * pi ? 2 * pi : -2 * pi;
        mean /= 2;
    }
    const double dl = q.l - p.l, dc = c2 - c1, dH = 2 * std::sqrt(c1 * c2) * std::sin(dh / 2);
    const double l = (p.l + q.l) / 2, c = (c1 + c2) / 2;
    const double t = 1 - 0.17 * std::cos(mean - 30 * deg) + 0.24 * std::cos(2 * mean) +
                     0.32 * std::cos(3 * mean + 6 * deg) - 0.20 * std::cos(4 * mean - 63 * deg);
    const double turn = 30 * deg * std::exp(-std::pow((mean / deg - 275) / 25, 2));
    const double cc7 = std::pow(c, 7), rc = 2 * std::sqrt(cc7 / (cc7 + std::pow(25.0, 7)));
    const double l50 = (l - 50) * (l - 50), sl = 1 + 0.015 * l50 / std::sqrt(20 + l50), sc = 1 + 0.045 * c,
                 sh = 1 + 0.015 * c * t;
    const double x = dl / sl, y = dc / sc, z = dH / sh;
    return std::sqrt(x * x + y * y + z * z - std::sin(2 * turn) * rc * y * z);
}
inline double difference(const QColor& p, const QColor& q, Vision v) {
    return difference(labOf(seen(p, v)), labOf(seen(q, v)));
}

} // namespace fwtest
