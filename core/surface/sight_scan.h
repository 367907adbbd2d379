// SPDX-License-Identifier: GPL-3.0-or-later
// One radial sweep round an antenna: what it sees, and past which edge it sees what it does not.
#pragma once

#include "surface/surface.h"

#include <cstdint>
#include <vector>

namespace fw {

/// Where to look from, and how far.
struct ScanSpec {
    PlanePoint at;          ///< moved to the centre of its cell by the sweep
    double antennaAmsl = 0; ///< radiation centre, m above the datum
    int radiusCells = 150;
    int overview = 1;       ///< 1: surface cells; 2: twice the side
    int ownPrism = -1;      ///< prism that carries the antenna (index), left out of the edges, or -1
    bool earthBulge = true; ///< 4/3 earth; matters from a kilometre on
    bool sightOnly = false; ///< true: leaves edgeDistM empty, which is quicker
};

/// Per cell of a square window of (2 R + 1)^2 cells, row 0 in the south, `stride` floats a row: the steepest
/// edge strictly between antenna and cell along the cell's ray. A receiver at height z over the datum and
/// ground distance d is in sight when (z - antenna - bulgePerM d^2) / d > edgeSlope. That one sweep thus
/// serves every receiver height at a cell.
struct SightScan {
    int radius = 0, stride = 0;
    double cellM = 2;
    PlanePoint centre; ///< centre of the middle cell
    double antennaAmsl = 0;
    double bulgePerM = 0; ///< the earth falls by this times d squared (m); 0 where the bulge was left out
    std::vector<float>
        edgeSlope; ///< rise over run to the worst edge, bulge counted; -1e9 with nothing between
    std::vector<float>
        edgeDistM;          ///< ground distance of that edge (m); 0 with nothing between; empty: not asked
    std::vector<float> top; ///< the window's surface (m above the datum)

    [[nodiscard]] std::size_t index(int dx, int dy) const {
        return static_cast<std::size_t>(dy + radius) * static_cast<std::size_t>(stride) +
               static_cast<std::size_t>(dx + radius);
    }
    [[nodiscard]] bool covers(int dx, int dy) const { return dx * dx + dy * dy <= radius * radius; }
};

/// Fills `out` (its memory is used again). The kernel runs with AVX2 where the processor has it; the result
/// has the same bytes without.
void scanSight(const Surface& surface, const ScanSpec& spec, SightScan& out);
/// The same contract as a plain double loop that marches every cell's own ray: slow, kept for ever as the
/// yardstick.
void scanSightReference(const Surface& surface, const ScanSpec& spec, SightScan& out);

/// Cells where a receiver `receiverAboveTopM` over the cell's top is in sight: 1, all others 0, laid out as
/// the planes of the scan (index(dx, dy), `stride` bytes a row, as long as `top`). 0 outside the disc; the
/// antenna's own cell is always in sight. The carrying prism counts as lowered, as in `top`. Needs no edge
/// distances. In float: a receiver within some 1e-5 m of the sight line may fall either way. Thread-safe; the
/// same bytes with AVX2 and without; the memory of `mask` is used again.
void visibleAt(const SightScan& scan, double receiverAboveTopM, std::vector<std::uint8_t>& mask);

/// For tests: forces the kernel without AVX2.
void setScanKernelPlain(bool plain);

} // namespace fw
