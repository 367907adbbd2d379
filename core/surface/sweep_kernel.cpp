// SPDX-License-Identifier: GPL-3.0-or-later
#include "surface/sweep_kernel.h"

#include <algorithm>
#include <cmath>

namespace fw::sweep {
namespace {

/// Nearest whole number; exact for |x| < 2^22. The same as the processor's own conversion.
int nearest(float x) {
    constexpr float kShift = 12582912.0f; // 1.5 * 2^23: adding it leaves no bits for a fraction
    return static_cast<int>((x + kShift) - kShift);
}

template <bool kDist>
void sector(const Sector& sector, const Rays& rays, const SectorSpec& spec) {
    const int R = spec.radius;
    const auto most = static_cast<float>(R);
    for (int i = 1; i <= R; ++i) {
        const float* row = sector.top + i * sector.step;
        float* slopeOut = sector.edgeSlope + i * sector.step;
        float* distOut = kDist ? sector.edgeDistM + i * sector.step : nullptr;
        const auto fi = static_cast<float>(i);
        const float perRow = 1.0f / fi, raysPerCol = most / fi, colsPerRay = fi / most;
        const int reach = std::min(i, spec.halfWidth[i]);
        for (int j = -reach; j <= reach; j += 8)
            for (int lane = 0; lane < 8; ++lane) {
                const float k = static_cast<float>(j + lane) * raysPerCol + kHalfUp;
                const int ray = nearest(std::max(-most, std::min(most, k)));
                slopeOut[j + lane] = rays.slope[ray];
                if constexpr (kDist) distOut[j + lane] = rays.distM[ray];
            }
        const int last = spec.halfWidth[i] < i ? std::min(R, R * spec.halfWidth[i] / i + 2) : R;
        for (int k = -last; k <= last; k += 8) {
            for (int lane = 0; lane < 8; ++lane) {
                const int ray = k + lane;
                const int col = nearest(static_cast<float>(ray) * colsPerRay + kHalfUp);
                const float dist = rays.runM[ray] * fi;
                const float slope =
                    (row[col] - spec.antennaAmsl) * (rays.perRunM[ray] * perRow) - dist * spec.bulgePerM;
                const bool higher = slope > rays.slope[ray];
                if constexpr (kDist) rays.distM[ray] = higher ? dist : rays.distM[ray];
                rays.slope[ray] = higher ? slope : rays.slope[ray];
            }
        }
    }
}

} // namespace

void sectorPlain(const Sector& s, const Rays& rays, const SectorSpec& spec) {
    s.edgeDistM ? sector<true>(s, rays, spec) : sector<false>(s, rays, spec);
}

void maskRowsPlain(const MaskRow& a, const MaskRow& b, const MaskSpec& spec) {
    for (int j = -spec.halfWidth; j <= spec.halfWidth; j += 8)
        for (int lane = j; lane < j + 8; ++lane) {
            const auto col = static_cast<float>(lane);
            const float d = spec.cellM * std::sqrt(col * col + spec.rowsSquared);
            const float drop = (d * d) * spec.bulgePerM;
            for (const MaskRow* r : {&a, &b}) {
                const float rise = ((r->top[lane] - spec.antennaAmsl) + spec.receiverM) - drop;
                r->visible[lane] = rise > r->edgeSlope[lane] * d;
            }
        }
}

void transpose8Plain(const float* from, float* to, std::ptrdiff_t stride) {
    for (int r = 0; r < 8; ++r)
        for (int c = 0; c < 8; ++c) to[c * stride + r] = from[r * stride + c];
}

} // namespace fw::sweep
