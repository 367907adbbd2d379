// SPDX-License-Identifier: GPL-3.0-or-later
// The yardstick of the sweep: every cell marches its own ray, in double.
#include "surface/sight_window.h"
#include "surface/sweep_kernel.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace fw {

void scanSightReference(const Surface& surface, const ScanSpec& spec, SightScan& out) {
    sweep::openWindow(surface, spec, out);
    std::fill(out.edgeSlope.begin(), out.edgeSlope.end(), sweep::kNoEdge);
    std::fill(out.edgeDistM.begin(), out.edgeDistM.end(), 0.0f);
    const int R = out.radius;
    const double bulge = out.bulgePerM;
    for (int dy = -R; dy <= R; ++dy)
        for (int dx = -R; dx <= R; ++dx) {
            if (!out.covers(dx, dy)) continue;
            // Rows run along the longer side; the ray's place across them is rounded, halves upwards.
            const bool upright = std::abs(dy) >= std::abs(dx);
            const int rows = upright ? std::abs(dy) : std::abs(dx), across = upright ? dx : dy;
            const int sign = (upright ? dy : dx) < 0 ? -1 : 1;
            const double run = rows ? out.cellM * std::sqrt(double(dx * dx + dy * dy)) / rows : 0;
            double worst = sweep::kNoEdge, where = 0;
            for (int m = 1; m < rows; ++m) {
                const int col = static_cast<int>(std::floor((2.0 * across * m + rows) / (2.0 * rows)));
                const std::size_t k = upright ? out.index(col, sign * m) : out.index(sign * m, col);
                const double d = run * m;
                const double slope = (double{out.top[k]} - spec.antennaAmsl) / d - d * bulge;
                if (slope > worst) {
                    worst = slope;
                    where = d;
                }
            }
            out.edgeSlope[out.index(dx, dy)] = static_cast<float>(worst);
            if (!spec.sightOnly) out.edgeDistM[out.index(dx, dy)] = static_cast<float>(where);
        }
}

} // namespace fw
