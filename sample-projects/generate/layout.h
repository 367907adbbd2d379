// SPDX-License-Identifier: GPL-3.0-or-later
// Streets and blocks, on the drawing board: every area is convex there and every street straight. What comes
// out is bent into the town afterwards (land.h).
#pragma once

#include "base/random.h"
#include "geo/shape.h"

#include <string>
#include <vector>

namespace fw::town {

enum class Style { oldTown, grid, terraces, slabs, suburb, villas, industry, park };

/// How a quarter is laid out and built.
struct District {
    const char* name;
    Style style;
    bool planned;        ///< straight parallel streets; else they wander
    double directionDeg; ///< of its long streets when planned, anticlockwise from east
    double blockLongM, blockDeepM;
    double rowM, carriageM; ///< of its own streets: between the plots, and between the kerbs
    int storeysLow, storeysHigh;
};

/// A main street that cuts an area in two; `left` and `right` name a further cut (>= 0) or a district
/// (~index).
struct Cut {
    PlanePoint a, b;
    double rowM, carriageM;
    const char* name;
    int left, right;
};

struct BoardStreet {
    std::string name; ///< empty: takes one of the common names
    PlanePoint a, b;
    double rowM = 0, carriageM = 0;
    int rank = 2; ///< 0 main street, 1 street through a quarter, 2 side street, 3 lane
    int district = -1;
};

struct Block {
    Ring area;
    int district = 0;
    bool taken = false; ///< by a landmark
};

struct Layout {
    std::vector<BoardStreet> streets;
    std::vector<Block> blocks;
};

Layout layOut(const Ring& outline, const std::vector<Cut>& cuts, const std::vector<District>& districts,
              std::uint64_t seed);

} // namespace fw::town
