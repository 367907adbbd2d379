// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/knife_edge.h"

#include "base/log_exp.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace fw {
namespace {

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
    double heightM, nu;
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
        if (!worst || nu > worst->nu) worst = Edge{k, h, nu};
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

// By composite Simpson sums over cos and sin of pi t^2 / 2. 64 steps a period of the integrand keep the error
// below 1e-8, whatever x is.
FresnelIntegrals fresnelIntegrals(double x) {
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

Db knifeEdgeLossExact(double nu) {
    if (!std::isfinite(nu)) return {std::numeric_limits<double>::quiet_NaN()};
    const FresnelIntegrals f = fresnelIntegrals(nu);
    const double re = 1.0 - f.c - f.s, im = f.c - f.s;
    return {-10.0 * log10Fixed((re * re + im * im) / 4.0)};
}

Db doubleEdgeCorrection(double a, double b, double c) {
    return {decibels((a + b) * (b + c) / (b * (a + b + c)))};
}

DoubleEdgeLoss doubleEdgeSteps(const DoubleEdge& e, double wavelengthM) {
    const double a = e.aM, b = e.bM, c = e.cM;
    DoubleEdgeLoss out;
    out.nu1 = fresnelNu(e.h1M, a, b + c, wavelengthM);
    out.nu2 = fresnelNu(e.h2M, a + b, c, wavelengthM);
    out.firstIsMain = out.nu1 >= out.nu2;
    // The other edge against the line from the top of the deeper one to the far end.
    out.otherHeightM = out.firstIsMain ? e.h2M - e.h1M * c / (b + c) : e.h1M - e.h2M * a / (a + b);
    out.otherNu = out.firstIsMain ? fresnelNu(out.otherHeightM, b, c, wavelengthM)
                                  : fresnelNu(out.otherHeightM, a, b, wavelengthM);
    const double p = std::max(out.nu1, out.nu2), q = std::min(out.nu1, out.nu2);
    out.main = knifeEdgeLoss(p);
    out.other = knifeEdgeLoss(out.otherNu);
    out.alphaDeg = atan2DegFixed(std::sqrt(b * (a + b + c) / (a * c)), 1.0);
    out.full = {12.0 - 20.0 * log10Fixed(2.0 / (1.0 - out.alphaDeg / 180.0))};
    out.share = doubleEdgeShare(p, q);
    out.term = {out.full.v * out.share};
    out.total = {out.main.v + std::max(0.0, out.other.v - std::max(0.0, out.term.v))};
    return out;
}

Db doubleEdgeLoss(const DoubleEdge& e, double wavelengthM) { return doubleEdgeSteps(e, wavelengthM).total; }

BullingtonLoss bullingtonSteps(const EdgeProfile& p, double wavelengthM) {
    const double x0 = p.distanceM.front(), d = p.distanceM.back() - x0;
    constexpr double kLeast = -std::numeric_limits<double>::infinity();
    BullingtonLoss out;
    out.hasEdge = p.distanceM.size() > 2;
    if (!out.hasEdge) return out;
    out.fromTx = out.fromRx = out.nu = kLeast;
    for (std::size_t k = 1; k + 1 < p.distanceM.size(); ++k) {
        const double d1 = p.distanceM[k] - x0, d2 = d - d1;
        const double top = p.heightM[k] + earthBulgeM(d1, d2, p.earthRadiusM);
        out.fromTx = std::max(out.fromTx, (top - p.txHeightM) / d1);
        out.fromRx = std::max(out.fromRx, (top - p.rxHeightM) / d2);
        const double h = top - lineHeightM(p, p.distanceM[k]), nu = fresnelNu(h, d1, d2, wavelengthM);
        if (nu <= out.nu) continue;
        out.nu = nu;
        out.atM = d1;
        out.heightM = h;
    }
    out.line = (p.rxHeightM - p.txHeightM) / d;
    out.clear = out.fromTx < out.line;
    if (!out.clear) {
        out.atM = (p.rxHeightM - p.txHeightM + out.fromRx * d) / (out.fromTx + out.fromRx);
        out.heightM = p.txHeightM + out.fromTx * out.atM - lineHeightM(p, x0 + out.atM);
        out.nu = fresnelNu(out.heightM, out.atM, d - out.atM, wavelengthM);
    }
    out.edge = knifeEdgeLoss(out.nu);
    out.terrain = {(1.0 - expFixed(-out.edge.v / 6.0)) * (10.0 + 0.02 * d / 1000.0)};
    out.total = out.edge + out.terrain;
    return out;
}

Db bullingtonLoss(const EdgeProfile& p, double wavelengthM) { return bullingtonSteps(p, wavelengthM).total; }

std::vector<DeygoutEdge> deygoutEdges(const EdgeProfile& p, double wavelengthM) {
    const double x0 = p.distanceM.front(), x1 = p.distanceM.back();
    std::vector<DeygoutEdge> out;
    const auto take = [&](const Leg& leg) {
        const auto worst = worstEdge(p, leg, wavelengthM);
        if (worst)
            out.push_back({leg.fromM - x0, leg.toM - x0, p.distanceM[worst->index] - x0, worst->heightM,
                           worst->nu, knifeEdgeLoss(worst->nu)});
        return worst;
    };
    const auto main = take({x0, p.txHeightM, x1, p.rxHeightM});
    if (!main) return out;
    // Each leg counts the Earth's rise above its own chord, so its ends are plain heights.
    const double xm = p.distanceM[main->index], top = p.heightM[main->index];
    take({x0, p.txHeightM, xm, top});
    take({xm, top, x1, p.rxHeightM});
    return out;
}

Db deygoutLoss(const EdgeProfile& p, double wavelengthM) {
    Db loss{0.0};
    for (const DeygoutEdge& edge : deygoutEdges(p, wavelengthM)) loss = loss + edge.loss;
    return loss;
}

double earthBulgeM(double d1M, double d2M, double earthRadiusM) { return d1M * d2M / (2.0 * earthRadiusM); }

} // namespace fw
