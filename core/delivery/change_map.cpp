// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/change_map.h"

#include "study/change_rasters.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

Grid<std::int16_t> gather(const std::vector<RadioRaster>& tiles, const Grid<std::int16_t>& like) {
    Grid<std::int16_t> out = like;
    std::vector<std::int64_t> sum(out.cells.size(), 0);
    std::vector<int> heard(out.cells.size(), 0);
    for (const RadioRaster& t : tiles)
        for (std::size_t i = 0; i < t.sinrCenti.size(); ++i) {
            if (t.sinrCenti[i] == kNothingHeard) continue;
            const int col = out.colOf(t.key.x * kTileM +
                                      (static_cast<double>(i % kRasterPixels) + 0.5) * kRasterPixelM),
                      row = out.rowOf(t.key.y * kTileM +
                                      (static_cast<double>(i / kRasterPixels) + 0.5) * kRasterPixelM);
            if (!out.inside(col, row)) continue;
            sum[out.index(col, row)] += t.sinrCenti[i];
            ++heard[out.index(col, row)];
        }
    for (std::size_t n = 0; n < sum.size(); ++n)
        if (heard[n]) out.cells[n] = static_cast<std::int16_t>(sum[n] / heard[n]);
    return out;
}

} // namespace

ChangeMap changeMap(const Study& study, const Box& bounds, int most) {
    ChangeMap out;
    const auto before = radioRasters(study, -1, Moment::before),
               after = radioRasters(study, -1, Moment::after);
    if (before.empty() || bounds.empty() || most < 1) return out;
    const double pixels = std::max(bounds.width(), bounds.height()) / kRasterPixelM;
    const double cellM = kRasterPixelM * std::max(1.0, std::ceil(pixels / most));
    const double x0 = std::floor(bounds.x0 / cellM) * cellM, y0 = std::floor(bounds.y0 / cellM) * cellM;
    const Grid<std::int16_t> like(x0, y0, cellM, static_cast<int>(std::ceil((bounds.x1 - x0) / cellM)),
                                  static_cast<int>(std::ceil((bounds.y1 - y0) / cellM)),
                                  static_cast<std::int16_t>(kNothingHeard));
    out.before = gather(before, like);
    out.after = gather(after, like);
    return out;
}

} // namespace fw
