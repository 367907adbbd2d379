// SPDX-License-Identifier: GPL-3.0-or-later
// On whose ground which other cell is as good as the best of its carrier: what neighbour relations are made
// of. A pure function of a study.
#pragma once

#include "base/job.h"
#include "study/study.h"

#include <vector>

namespace fw {

/// Ground where one cell serves its carrier, and how much of it another cell shares. Ground is open ground at
/// 1.5 m in pixels of 4 m, within the area of work.
struct CellOverlap {
    ItemId cell, other;
    /// Share (0..1] of `cell`'s ground where `other` is within the margin of the strongest cell of its own
    /// carrier, and strong enough to serve. On one carrier: within the margin of `cell` itself.
    double share = 0;
    bool operator==(const CellOverlap&) const = default;
};

struct CellGround {
    ItemId cell;
    double areaM2 = 0; ///< where it serves its carrier
    bool operator==(const CellGround&) const = default;
};

struct Overlaps {
    std::vector<CellGround> ground; ///< macro cells and chosen small cells that serve somewhere, ascending
    std::vector<CellOverlap> pairs; ///< by cell, then other; only those above 0
    bool operator==(const Overlaps&) const = default;
};

/// Levels are medians; a small cell's bias counts, as phones compare. Of macros the three strongest of a
/// layer are looked at. The same bytes for any number of threads. Tiles that are as they were in a study that
/// this one came from are not counted again: a radio moved costs the tiles in its reach.
/// @param marginDb  handover margin, 0 to 30.
/// Stopped: empty.
Overlaps overlapsOf(const Study& study, double marginDb, unsigned threads = 0, const Job& job = {});

} // namespace fw
