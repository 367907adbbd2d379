// SPDX-License-Identifier: GPL-3.0-or-later
#include "surface/sight_scan.h"

#include "surface/earth.h"
#include "surface/sight_window.h"
#include "surface/sweep_kernel.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdlib>
#include <cstring>

namespace fw {
namespace sweep {
namespace {

/// Top of a full cell as if the carrying prism were not there.
float topWithout(const Surface& s, int ownPrism, int col, int row) {
    const double cell = s.cellM();
    const PlanePoint p{(col + 0.5) * cell, (row + 0.5) * cell};
    const SurfaceTile* t = s.tile(tileOf(p));
    if (!t) return static_cast<float>(s.groundAt(p));
    const std::size_t k = t->top.index(t->top.colOf(p.x), t->top.rowOf(p.y));
    const SurfaceTile::Roofed* r = t->roofOver(k);
    return r && static_cast<int>(r->prism) == ownPrism ? r->ground : t->top.cells[k];
}

void lowerOwnPrism(const Surface& s, const ScanSpec& spec, SightScan& out) {
    if (spec.ownPrism < 0 || static_cast<std::size_t>(spec.ownPrism) >= s.prisms().size()) return;
    const Box box = boundsOf(s.prisms()[static_cast<std::size_t>(spec.ownPrism)].footprint);
    const auto cellOf = [&](double v) { return static_cast<int>(std::floor(v / out.cellM)); };
    const int midCol = cellOf(out.centre.x), midRow = cellOf(out.centre.y), R = out.radius;
    const int fine = spec.overview == 2 ? 2 : 1; // full cells to a cell's side
    for (int row = std::max(cellOf(box.y0), midRow - R); row <= std::min(cellOf(box.y1), midRow + R); ++row)
        for (int col = std::max(cellOf(box.x0), midCol - R); col <= std::min(cellOf(box.x1), midCol + R);
             ++col) {
            float most = kNoEdge;
            for (int r = 0; r < fine; ++r)
                for (int c = 0; c < fine; ++c)
                    most = std::max(most, topWithout(s, spec.ownPrism, col * fine + c, row * fine + r));
            out.top[out.index(col - midCol, row - midRow)] = most;
        }
}

} // namespace

void openWindow(const Surface& surface, const ScanSpec& spec, SightScan& out) {
    out.radius = std::max(spec.radiusCells, 1);
    out.cellM = surface.cellM() * (spec.overview == 2 ? 2 : 1);
    out.centre = {(std::floor(spec.at.x / out.cellM) + 0.5) * out.cellM,
                  (std::floor(spec.at.y / out.cellM) + 0.5) * out.cellM};
    out.antennaAmsl = spec.antennaAmsl;
    out.bulgePerM = spec.earthBulge ? 0.5 / kEffectiveEarthRadiusM : 0.0;
    surface.window(out.centre, out.radius, spec.overview, out.top, out.stride);
    lowerOwnPrism(surface, spec, out);
    out.edgeSlope.resize(out.top.size());
    out.edgeDistM.resize(spec.sightOnly ? 0 : out.top.size());
}

void halfWidths(int radius, std::vector<int>& out) {
    out.resize(static_cast<std::size_t>(radius) + 1);
    int w = radius;
    for (int i = 0; i <= radius; ++i) {
        while (w * w + i * i > radius * radius) --w;
        out[static_cast<std::size_t>(i)] = w;
    }
}

} // namespace sweep

namespace {

std::atomic<bool> g_plain{false};

bool useAvx2() {
#if defined(__x86_64__)
    static const bool has = __builtin_cpu_supports("avx2");
    return has && !g_plain.load(std::memory_order_relaxed);
#else
    return false;
#endif
}

/// Working memory of a sweep, kept by each thread from one to the next.
struct Scratch {
    std::vector<float> top, slope, dist; ///< transposed planes
    std::vector<float> raySlope, rayDist, run, perRun;
    std::vector<int> halfWidth;
    int runRadius = 0;
    double runCellM = 0;
};

void prepare(Scratch& s, const SightScan& out) {
    s.top.resize(out.top.size());
    s.slope.resize(out.top.size());
    s.dist.resize(out.edgeDistM.size());
    sweep::halfWidths(out.radius, s.halfWidth);
    if (s.runRadius == out.radius && s.runCellM == out.cellM) return;
    const int R = out.radius, margin = sweep::kRayMargin;
    const auto n = static_cast<std::size_t>(2 * (R + margin) + 1);
    s.raySlope.resize(n);
    s.rayDist.resize(n);
    s.run.resize(n);
    s.perRun.resize(n);
    for (int k = -R - margin; k <= R + margin; ++k) {
        const double lean = static_cast<double>(k) / R, run = out.cellM * std::sqrt(1 + lean * lean);
        s.run[static_cast<std::size_t>(k + R + margin)] = static_cast<float>(run);
        s.perRun[static_cast<std::size_t>(k + R + margin)] = static_cast<float>(1 / run);
    }
    s.runRadius = R;
    s.runCellM = out.cellM;
}

struct BlockSpan {
    int least, most; ///< of the distance from the middle
};
BlockSpan spanOf(int first, int radius, int last) {
    const int a = first - radius, b = std::min(first + 7, last) - radius;
    const int most = std::max(std::abs(a), std::abs(b));
    return {a <= 0 && b >= 0 ? 0 : std::min(std::abs(a), std::abs(b)), most};
}

/// Turns the eastern and western part of a plane over its diagonal into `to`.
template <bool kBack>
void turn(const float* from, float* to, int radius, int stride, bool avx2) {
    const int n = 2 * radius + 1;
    for (int r = 0; r < n; r += 8) {
        const BlockSpan rows = spanOf(r, radius, n - 1);
        for (int c = 0; c < n; c += 8) {
            const BlockSpan cols = spanOf(c, radius, n - 1);
            // Forth: whatever the sectors may read. Back: strictly what they own.
            const bool some = cols.most > rows.least || (!kBack && cols.most == rows.least);
            if (!some) continue;
            const bool whole = !kBack || cols.least > rows.most;
            const float* source = kBack ? from + static_cast<std::ptrdiff_t>(c) * stride + r
                                        : from + static_cast<std::ptrdiff_t>(r) * stride + c;
            float* target = kBack ? to + static_cast<std::ptrdiff_t>(r) * stride + c
                                  : to + static_cast<std::ptrdiff_t>(c) * stride + r;
            if (whole && r + 8 <= n && c + 8 <= n) {
                (avx2 ? sweep::transpose8Avx2 : sweep::transpose8Plain)(source, target, stride);
                continue;
            }
            for (int rr = r; rr < std::min(r + 8, n); ++rr)
                for (int cc = c; cc < std::min(c + 8, n); ++cc) {
                    if (kBack && std::abs(cc - radius) <= std::abs(rr - radius)) continue;
                    const auto straight = static_cast<std::ptrdiff_t>(rr) * stride + cc;
                    const auto turned = static_cast<std::ptrdiff_t>(cc) * stride + rr;
                    if constexpr (kBack)
                        to[straight] = from[turned];
                    else
                        to[turned] = from[straight];
                }
        }
    }
}

/// Cells outside the disc have nothing between; the kernel left the overrun of its vectors there.
void clearOutside(SightScan& out, const std::vector<int>& halfWidth) {
    const int R = out.radius;
    for (int dy = -R; dy <= R; ++dy) {
        const int w = halfWidth[static_cast<std::size_t>(std::abs(dy))];
        const auto row = static_cast<std::ptrdiff_t>(dy + R) * out.stride;
        for (auto* plane : {&out.edgeSlope, &out.edgeDistM}) {
            if (plane->empty()) continue;
            const float nothing = plane == &out.edgeSlope ? sweep::kNoEdge : 0.0f;
            std::fill(plane->begin() + row, plane->begin() + row + R - w, nothing);
            std::fill(plane->begin() + row + R + w + 1, plane->begin() + row + out.stride, nothing);
        }
    }
    const std::size_t used = static_cast<std::size_t>(2 * R + 1) * static_cast<std::size_t>(out.stride);
    std::fill(out.edgeSlope.begin() + static_cast<std::ptrdiff_t>(used), out.edgeSlope.end(), sweep::kNoEdge);
    out.edgeSlope[out.index(0, 0)] = sweep::kNoEdge;
    if (out.edgeDistM.empty()) return;
    std::fill(out.edgeDistM.begin() + static_cast<std::ptrdiff_t>(used), out.edgeDistM.end(), 0.0f);
    out.edgeDistM[out.index(0, 0)] = 0;
}

} // namespace

void setScanKernelPlain(bool plain) { g_plain = plain; }

void scanSight(const Surface& surface, const ScanSpec& spec, SightScan& out) {
    thread_local Scratch scratch;
    sweep::openWindow(surface, spec, out);
    prepare(scratch, out);
    const bool avx2 = useAvx2();
    const int R = out.radius;
    turn<false>(out.top.data(), scratch.top.data(), R, out.stride, avx2);

    sweep::SectorSpec sectorSpec;
    sectorSpec.radius = R;
    sectorSpec.antennaAmsl = static_cast<float>(spec.antennaAmsl);
    sectorSpec.bulgePerM = static_cast<float>(out.bulgePerM);
    sectorSpec.halfWidth = scratch.halfWidth.data();
    const std::ptrdiff_t mid = R + sweep::kRayMargin;
    const sweep::Rays rays{scratch.raySlope.data() + mid, scratch.rayDist.data() + mid,
                           scratch.run.data() + mid, scratch.perRun.data() + mid};
    const auto middle = static_cast<std::ptrdiff_t>(out.index(0, 0));
    for (int k = 0; k < 4; ++k) {
        const bool turned = k >= 2;
        std::fill(scratch.raySlope.begin(), scratch.raySlope.end(), sweep::kNoEdge);
        std::fill(scratch.rayDist.begin(), scratch.rayDist.end(), 0.0f);
        const sweep::Sector sector{(turned ? scratch.top : out.top).data() + middle,
                                   (turned ? scratch.slope : out.edgeSlope).data() + middle,
                                   spec.sightOnly ? nullptr
                                                  : (turned ? scratch.dist : out.edgeDistM).data() + middle,
                                   k % 2 ? -out.stride : out.stride};
        (avx2 ? sweep::sectorAvx2 : sweep::sectorPlain)(sector, rays, sectorSpec);
    }
    turn<true>(scratch.slope.data(), out.edgeSlope.data(), R, out.stride, avx2);
    if (!spec.sightOnly) turn<true>(scratch.dist.data(), out.edgeDistM.data(), R, out.stride, avx2);
    clearOutside(out, scratch.halfWidth);
}

void visibleAt(const SightScan& scan, double receiverAboveTopM, std::vector<std::uint8_t>& mask) {
    const int R = scan.radius;
    mask.resize(scan.top.size());
    thread_local std::vector<int> halfWidth;
    sweep::halfWidths(R, halfWidth);
    const bool avx2 = useAvx2();
    sweep::MaskSpec spec;
    spec.cellM = static_cast<float>(scan.cellM);
    spec.antennaAmsl = static_cast<float>(scan.antennaAmsl);
    spec.receiverM = static_cast<float>(receiverAboveTopM);
    spec.bulgePerM = static_cast<float>(scan.bulgePerM);
    const auto rowAt = [&](int dy) {
        const std::size_t k = scan.index(0, dy);
        return sweep::MaskRow{scan.top.data() + k, scan.edgeSlope.data() + k, mask.data() + k};
    };
    for (int dy = 0; dy <= R; ++dy) {
        spec.halfWidth = halfWidth[static_cast<std::size_t>(dy)];
        spec.rowsSquared = static_cast<float>(dy * dy);
        (avx2 ? sweep::maskRowsAvx2 : sweep::maskRowsPlain)(rowAt(dy), rowAt(-dy), spec);
        for (const int row : {dy, -dy}) { // the overrun of the vectors, and what lies outside the disc
            std::uint8_t* first = mask.data() + scan.index(-R, row);
            const auto left = static_cast<std::size_t>(R - spec.halfWidth);
            const auto done = static_cast<std::size_t>(R + spec.halfWidth + 1);
            std::memset(first, 0, left);
            std::memset(first + done, 0, static_cast<std::size_t>(scan.stride) - done);
        }
    }
    const std::size_t used = static_cast<std::size_t>(2 * R + 1) * static_cast<std::size_t>(scan.stride);
    std::memset(mask.data() + used, 0, mask.size() - used);
    mask[scan.index(0, 0)] = 1;
}

} // namespace fw
