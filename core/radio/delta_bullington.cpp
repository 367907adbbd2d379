// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/delta_bullington.h"

#include <algorithm>

namespace fw {
namespace {

// Heights at the two ends of the least-squares line through the ground.
SmoothSurface fittedLine(const std::vector<double>& distanceM, const std::vector<double>& groundM) {
    const double x0 = distanceM.front(), d = distanceM.back() - x0;
    double v1 = 0, v2 = 0;
    for (std::size_t k = 1; k < distanceM.size(); ++k) {
        const double a = distanceM[k - 1] - x0, b = distanceM[k] - x0;
        v1 += (b - a) * (groundM[k] + groundM[k - 1]);
        v2 += (b - a) * (groundM[k] * (2.0 * b + a) + groundM[k - 1] * (b + 2.0 * a));
    }
    return {(2.0 * v1 * d - v2) / (d * d), (v2 - v1 * d) / (d * d)};
}

// How far the ground reaches above the line between the antennas, and as seen from either of them.
struct Reach {
    double heightM = -1e300, fromTx = -1e300, fromRx = -1e300;
};
Reach reachOf(const EdgeProfile& p, const std::vector<double>& groundM) {
    const double x0 = p.distanceM.front(), d = p.distanceM.back() - x0;
    Reach out;
    for (std::size_t k = 1; k + 1 < p.distanceM.size(); ++k) {
        const double d1 = p.distanceM[k] - x0, d2 = d - d1;
        const double above = groundM[k] - (p.txHeightM * d2 + p.rxHeightM * d1) / d;
        out.heightM = std::max(out.heightM, above);
        out.fromTx = std::max(out.fromTx, above / d1);
        out.fromRx = std::max(out.fromRx, above / d2);
    }
    return out;
}

// The flat path that Bullington is taken over once more.
EdgeProfile flatPath(const EdgeProfile& p, const SmoothSurface& surface) {
    EdgeProfile flat = p;
    std::fill(flat.heightM.begin(), flat.heightM.end(), 0.0);
    flat.txHeightM = p.txHeightM - surface.txM;
    flat.rxHeightM = p.rxHeightM - surface.rxM;
    return flat;
}

} // namespace

SmoothSurfaceSteps smoothSurfaceSteps(const EdgeProfile& path, const std::vector<double>& groundM) {
    SmoothSurfaceSteps out;
    out.line = fittedLine(path.distanceM, groundM);
    const Reach reach = reachOf(path, groundM);
    out.reachM = reach.heightM;
    out.fromTx = reach.fromTx;
    out.fromRx = reach.fromRx;
    out.lowered = out.line;
    if (reach.heightM > 0) {
        const double both = reach.fromTx + reach.fromRx;
        out.lowered.txM -= reach.heightM * reach.fromTx / both;
        out.lowered.rxM -= reach.heightM * reach.fromRx / both;
    }
    out.surface = {std::min(out.lowered.txM, groundM.front()), std::min(out.lowered.rxM, groundM.back())};
    return out;
}

SmoothSurface smoothSurface(const EdgeProfile& path, const std::vector<double>& groundM) {
    return smoothSurfaceSteps(path, groundM).surface;
}

DeltaBullington deltaBullington(const EdgeProfile& path, const std::vector<double>& groundM,
                                Polarisation polarisation, double seaShare, Hertz f, double wavelengthM) {
    DeltaBullington out;
    out.surface = smoothSurface(path, groundM);
    out.actualSteps = bullingtonSteps(path, wavelengthM);
    const EdgeProfile flat = flatPath(path, out.surface);
    out.smoothSteps = bullingtonSteps(flat, wavelengthM);
    out.smoothPath = {path.distanceM.back() - path.distanceM.front(),
                      flat.txHeightM,
                      flat.rxHeightM,
                      path.earthRadiusM,
                      seaShare,
                      polarisation};
    out.actual = out.actualSteps.total;
    out.smooth = out.smoothSteps.total;
    out.spherical = sphericalEarthLoss(out.smoothPath, f, wavelengthM);
    out.total = {out.actual.v + std::max(0.0, out.spherical.v - out.smooth.v)};
    return out;
}

} // namespace fw
