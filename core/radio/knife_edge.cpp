// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/knife_edge.h"

#include "base/log_exp.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace fw {
namespace {

struct Fresnel {
    double c = 0, s = 0;
};

// C(x) and S(x) by composite Simpson sums over cos and sin of pi t^2 / 2. 64 steps a period of the integrand
// keep the error below 1e-8, whatever x is.
Fresnel fresnelIntegrals(double x) {
    const double a = std::fabs(x);
    const int steps = 2 * std::max(16, static_cast<int>(std::ceil(32.0 * a * std::max(a, 1.0))));
    const double h = a / steps;
    double c = 0, s = 0;
    for (int k = 0; k <= steps; ++k) {
        const double t = k * h;
        const SinCos v = sinCosDegFixed(90.0 * t * t); // pi t^2 / 2 in degrees
        const double w = (k == 0 || k == steps) ? 1.0 : (k % 2 ? 4.0 : 2.0);
        c += w * v.cos;
        s += w * v.sin;
    }
    const double f = std::copysign(h / 3.0, x);
    return {c * f, s * f};
}

double lineHeightM(const EdgeProfile& p, double xM) {
    const double d = p.distanceM.back() - p.distanceM.front();
    const double t = (xM - p.distanceM.front()) / d;
    return p.txHeightM + (p.rxHeightM - p.txHeightM) * t;
}

struct Leg {
    double fromM, fromHeightM, toM, toHeightM;
};
struct Edge {
    std::size_t index;
    double nu;
};

// The edge with the greatest nu among the points strictly between the ends of a leg.
std::optional<Edge> worstEdge(const EdgeProfile& p, const Leg& leg, double wavelengthM) {
    std::optional<Edge> worst;
    for (std::size_t k = 1; k + 1 < p.distanceM.size(); ++k) {
        const double d1 = p.distanceM[k] - leg.fromM, d2 = leg.toM - p.distanceM[k];
        if (d1 <= 0 || d2 <= 0) continue;
        const double line = (leg.fromHeightM * d2 + leg.toHeightM * d1) / (d1 + d2);
        const double h = p.heightM[k] + earthBulgeM(d1, d2, p.earthRadiusM) - line;
        const double nu = fresnelNu(h, d1, d2, wavelengthM);
        if (!worst || nu > worst->nu) worst = Edge{k, nu};
    }
    return worst;
}

// How much of the published term for two edges applies. p and q: nu of the deeper and of the other edge over
// the whole path, p >= q.
double doubleEdgeShare(double p, double q) {
    // ratio^exponent for 0 < ratio <= 1; below 1e-200 it is nothing, and exp2Fixed() ends at 2^-1000.
    const auto power = [](double ratio, double exponent) {
        return exp2Fixed(std::max(-700.0, exponent * log2Fixed(std::max(ratio, 1e-200))));
    };
    if (p > 0) return q > 0 ? power(q / p, 2.0 * p) : 0.0;
    const double fade = std::max(0.0, 1.0 + p / 0.78);
    return q < 0 ? power(p / q, -2.0 * q) * fade : fade;
}

} // namespace

double fresnelRadiusM(int n, double d1M, double d2M, double wavelengthM) {
    return std::sqrt(n * wavelengthM * d1M * d2M / (d1M + d2M));
}

double fresnelNu(double heightM, double d1M, double d2M, double wavelengthM) {
    return heightM * std::sqrt(2.0 * (d1M + d2M) / (wavelengthM * d1M * d2M));
}

Db knifeEdgeLoss(double nu) {
    if (std::isnan(nu)) return {nu};
    if (nu <= -0.78) return {0.0};
    const double x = nu - 0.1;
    return {6.9 + 20.0 * log10Fixed(std::sqrt(x * x + 1.0) + x)};
}

Db knifeEdgeLossExact(double nu) {
    if (!std::isfinite(nu)) return {std::numeric_limits<double>::quiet_NaN()};
    const Fresnel f = fresnelIntegrals(nu);
    const double re = 1.0 - f.c - f.s, im = f.c - f.s;
    return {-10.0 * log10Fixed((re * re + im * im) / 4.0)};
}

Db doubleEdgeCorrection(double a, double b, double c) {
    return {decibels((a + b) * (b + c) / (b * (a + b + c)))};
}

Db doubleEdgeLoss(const DoubleEdge& e, double wavelengthM) {
    const double a = e.aM, b = e.bM, c = e.cM;
    const double nu1 = fresnelNu(e.h1M, a, b + c, wavelengthM);
    const double nu2 = fresnelNu(e.h2M, a + b, c, wavelengthM);
    const bool firstIsMain = nu1 >= nu2;
    // The other edge against the line from the top of the deeper one to the far end.
    const double rest = firstIsMain ? fresnelNu(e.h2M - e.h1M * c / (b + c), b, c, wavelengthM)
                                    : fresnelNu(e.h1M - e.h2M * a / (a + b), a, b, wavelengthM);
    const double main = knifeEdgeLoss(std::max(nu1, nu2)).v, other = knifeEdgeLoss(rest).v;
    const double alphaDeg = atan2DegFixed(std::sqrt(b * (a + b + c) / (a * c)), 1.0);
    const double full = 12.0 - 20.0 * log10Fixed(2.0 / (1.0 - alphaDeg / 180.0));
    const double term = full * doubleEdgeShare(std::max(nu1, nu2), std::min(nu1, nu2));
    return {main + std::max(0.0, other - std::max(0.0, term))};
}

Db bullingtonLoss(const EdgeProfile& p, double wavelengthM) {
    const double x0 = p.distanceM.front(), d = p.distanceM.back() - x0;
    double fromTx = -std::numeric_limits<double>::infinity(), fromRx = fromTx, worstNu = fromTx;
    for (std::size_t k = 1; k + 1 < p.distanceM.size(); ++k) {
        const double d1 = p.distanceM[k] - x0, d2 = d - d1;
        const double top = p.heightM[k] + earthBulgeM(d1, d2, p.earthRadiusM);
        fromTx = std::max(fromTx, (top - p.txHeightM) / d1);
        fromRx = std::max(fromRx, (top - p.rxHeightM) / d2);
        worstNu = std::max(worstNu, fresnelNu(top - lineHeightM(p, p.distanceM[k]), d1, d2, wavelengthM));
    }
    double loss = 0;
    if (fromTx < (p.rxHeightM - p.txHeightM) / d) {
        loss = knifeEdgeLoss(worstNu).v;
    } else if (p.distanceM.size() > 2) {
        const double d1 = (p.rxHeightM - p.txHeightM + fromRx * d) / (fromTx + fromRx);
        const double h = p.txHeightM + fromTx * d1 - lineHeightM(p, x0 + d1);
        loss = knifeEdgeLoss(fresnelNu(h, d1, d - d1, wavelengthM)).v;
    }
    return {loss + (1.0 - expFixed(-loss / 6.0)) * (10.0 + 0.02 * d / 1000.0)};
}

Db deygoutLoss(const EdgeProfile& p, double wavelengthM) {
    const double x0 = p.distanceM.front(), x1 = p.distanceM.back();
    const auto main = worstEdge(p, {x0, p.txHeightM, x1, p.rxHeightM}, wavelengthM);
    if (!main) return {0.0};
    // Each leg counts the Earth's rise above its own chord, so its ends are plain heights.
    const double xm = p.distanceM[main->index], top = p.heightM[main->index];
    Db loss = knifeEdgeLoss(main->nu);
    for (const Leg& leg : {Leg{x0, p.txHeightM, xm, top}, Leg{xm, top, x1, p.rxHeightM}})
        if (const auto side = worstEdge(p, leg, wavelengthM)) loss = loss + knifeEdgeLoss(side->nu);
    return loss;
}

double earthBulgeM(double d1M, double d2M, double earthRadiusM) { return d1M * d2M / (2.0 * earthRadiusM); }

} // namespace fw
