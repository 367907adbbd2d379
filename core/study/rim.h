// SPDX-License-Identifier: GPL-3.0-or-later
// What the rim of the computed ground cuts off, and which figures that touches.
#pragma once

#include "base/working.h"
#include "study/study.h"

namespace fw {

/// How far inside the rim users are looked at, to tell how much may lie outside it.
inline constexpr double kRimBandM = 100;

/// A macro cell with a measured use that serves ground at the rim: users beyond are not in the plan, so that
/// its whole use is laid on those inside. What small cells relieve it by is "at most".
struct RimCell {
    ItemId cell;
    double rimM = 0;    ///< of the rim, where it is the strongest of its carrier in the open
    double nearRim = 0; ///< share of its PRB that its users within kRimBandM of the rim cost
    double spread = 0;  ///< share of its PRB that all its users cost: what is spread over ground
    /// Share of its timing-advance samples farther out than any ground that it serves here; empty where it
    /// has no histogram.
    std::optional<double> unreached;
};

/// A side of the computed ground beyond which no macro stands within the reach of macros.
enum class RimSide : std::uint8_t { west, south, east, north };

struct Rim {
    Box ground;                     ///< computed: the tiles of 512 m that the area of work touches
    std::vector<RimCell> cells;     ///< ascending by id
    std::vector<RimSide> bare;      ///< nobody disturbs from there
    std::vector<ItemId> outOfReach; ///< macro sites that reach no computed ground: they count for nothing
};

/// Of a study's baseline: worked out when first asked for, and the same for every small cell. Lives as long
/// as the study. Thread-safe.
const Rim& rimOf(const Study& study);
/// Of one cell; null where the rim cuts nothing off it.
const RimCell* rimCellOf(const Study& study, ItemId cell);
/// Share (0..1) of the ground in a small cell's reach that lies beyond the rim: what it would take there is
/// not counted.
double beyondRim(const Study& study, ItemId small);

/// What there is to say of one cell's figures; empty where less than a point of its use lies near the rim.
std::string rimSentence(const Study& study, ItemId cell);
/// One sentence for each congested cell that has a point or more of its use near the rim, for sites out of
/// reach, for bare sides, and for chosen small cells with a tenth or more of their reach beyond the rim.
std::vector<std::string> rimRemarks(const Study& study);
/// The steps to how much of a cell's use lies near the rim; one remark for a cell that it cuts nothing off.
Working workingOfRim(const Study& study, ItemId cell);

} // namespace fw
