// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/geometry.h"

#include "base/log_exp.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace fw {

double offBoresightDeg(GridAzimuth boresight, GridAzimuth bearing) {
    return std::fabs(wrap180(bearing.deg - boresight.deg));
}

bool inBeam(GridAzimuth boresight, GridAzimuth bearing, double halfDeg) {
    return offBoresightDeg(boresight, bearing) <= halfDeg;
}

double blockedSkyShare(std::span<const double> horizonDeg, double maskDeg) {
    if (horizonDeg.empty()) return 0;
    const double low = sinCosDegFixed(maskDeg).sin;
    double open = 0;
    for (const double h : horizonDeg) open += 1 - sinCosDegFixed(std::max(h, maskDeg)).sin;
    const double blocked = 1 - open / static_cast<double>(horizonDeg.size()) / (1 - low);
    return std::clamp(blocked, 0.0, 1.0); // the sum may miss an end by its last digit
}

double blockedSkyShare(const Skyline& skyline, double maskDeg) {
    std::vector<double> h;
    h.reserve(skyline.bearing.size());
    for (const auto& b : skyline.bearing) h.push_back(static_cast<double>(b.elevationDeg));
    return blockedSkyShare(h, maskDeg);
}

double widestBlockedRunDeg(const Skyline& skyline, double maskDeg) {
    constexpr int n = Skyline::kBearings;
    const auto blocked = [&](int k) {
        return static_cast<double>(skyline.bearing[static_cast<std::size_t>(k % n)].elevationDeg) > maskDeg;
    };
    int widest = 0, run = 0;
    for (int k = 0; k < 2 * n; ++k) { // twice round, so that a run over north is seen whole
        run = blocked(k) ? run + 1 : 0;
        widest = std::max(widest, run);
    }
    return std::min(widest, n) * (360.0 / n);
}

double beamBlockedShare(const Skyline& skyline, GridAzimuth boresight, double hBeamDeg, double nearM) {
    constexpr double step = 360.0 / Skyline::kBearings;
    double all = 0, blocked = 0;
    const int from = static_cast<int>(std::ceil((boresight.deg - hBeamDeg / 2) / step));
    const int to = static_cast<int>(std::floor((boresight.deg + hBeamDeg / 2) / step));
    for (int k = from; k <= to; ++k) {
        const double phi = (k * step - boresight.deg) / hBeamDeg;
        const double weight = powerRatio(-12 * phi * phi);
        const int n = Skyline::kBearings;
        const auto& b = skyline.bearing[static_cast<std::size_t>(((k % n) + n) % n)];
        all += weight;
        if (static_cast<double>(b.solidM) < nearM) blocked += weight;
    }
    return all > 0 ? blocked / all : 0;
}

} // namespace fw
