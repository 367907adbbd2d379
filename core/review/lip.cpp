// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/lip.h"

#include "base/log_exp.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

struct Ray {
    PlanePoint dir;  ///< unit vector in plan
    double fall = 0; ///< metres down per metre along
};

// Where the falling ray meets the ground: marched in short steps, then drawn straight within the last one.
double landsAtM(const Surface& surface, const LipSpec& spec, const Ray& ray) {
    constexpr double kStepM = 2;
    const auto over = [&](double t) {
        return spec.antennaAmsl - ray.fall * t - surface.groundAt(spec.at + ray.dir * t);
    };
    double before = over(0);
    for (double t = kStepM; t <= spec.reachM; t += kStepM) {
        const double now = over(t);
        if (now <= 0) return before > 0 ? t - kStepM * (now / (now - before)) : 0;
        before = now;
    }
    return spec.reachM;
}

double firstZoneM(double d1, double d2, Hertz f) {
    if (d1 <= 0 || d2 <= 0 || f.v <= 0) return 0;
    return std::sqrt(299792458.0 / f.v * d1 * d2 / (d1 + d2));
}

} // namespace

std::optional<Lip> worstLip(const Surface& surface, int ownPrism, const LipSpec& spec) {
    if (ownPrism < 0 || static_cast<std::size_t>(ownPrism) >= surface.prisms().size()) return std::nullopt;
    const auto own = static_cast<std::size_t>(ownPrism);
    const Prism& prism = surface.prisms()[own];
    const double top = surface.roofAmsl()[own] + prism.parapetM;
    const SinCos edge = sinCosDegFixed(std::min(spec.depressionDeg, 89.0));
    constexpr int kRays = 12; // to each side; under 3 deg apart for a beam of 65 deg
    std::optional<Lip> worst;
    for (int k = -kRays; k <= kRays; ++k) {
        const double az = spec.boresight.deg + spec.hBeamDeg / 2 * k / kRays;
        const SinCos a = sinCosDegFixed(az);
        const Ray ray{{a.sin, a.cos}, edge.sin / edge.cos};
        const double lands = landsAtM(surface, spec, ray);
        const auto spans = crossings(prism.footprint, spec.at, spec.at + ray.dir * spec.reachM);
        for (const Span& s : spans) {
            for (const double d : {s.from * spec.reachM, s.to * spec.reachM}) {
                if (d < 0.01 || d > spec.reachM - 0.01) continue; // where it stands, and where the look ends
                const Lip lip{d, wrap360(az), spec.antennaAmsl - ray.fall * d - top,
                              firstZoneM(d, lands - d, spec.frequency)};
                const auto spare = [&](const Lip& l) { return l.clearanceM - spec.needF1 * l.firstZoneM; };
                if (!worst || spare(lip) < spare(*worst)) worst = lip;
            }
        }
    }
    return worst;
}

} // namespace fw
