// SPDX-License-Identifier: GPL-3.0-or-later
// Totals of an overlay: what lies under it without the dragged cells, and their new part by difference.
// Private to core/study.
#pragma once

#include "base/crew.h"
#include "study/state.h"

#include <array>

namespace fw {

/// What one receiver is in one layer without the dragged cells: it stays the same wherever they go. All in
/// one place, so that a frame reads memory in one stream.
struct Standing {
    ReceiverLoad load;
    TopTwo top;       ///< of the others
    Division without; ///< among them; once `known`
    std::uint32_t receiver = 0;
    std::uint16_t macro = 0; ///< that serves there
    std::uint16_t layer = 0;
    bool inFringe = false; ///< of that macro, or in a congestion area
    bool known = false;
};

/// Receivers of one row of a tile's pixels, or all its indoor ones, where a macro spends anything: ascending
/// by receiver, then layer. Made when a frame first passes over the row.
struct StandingRow {
    std::vector<Standing> list;
    bool made = false;
};

/// The others' part of one tile while some small cells are being dragged.
struct PressTile {
    TileSmalls smalls;
    std::array<StandingRow, kTilePixels> rows;
    StandingRow indoor;
};

/// The others' part while some small cells are being dragged. One frame at a time works on it.
struct Press {
    std::vector<std::uint16_t> dragged; ///< ascending
    TileSums without;                   ///< totals as if they were not there
    std::mutex lock;
    std::map<int, PressTile> tiles; ///< by tile index, made when first asked for
};

/// @param over     an overlay.
/// @param crew     shares out the receivers, and `besides` before them; null: all on this thread. Sums are
///                 whole numbers, so that the result is the same.
TileSums overlayTotals(const StudyCore& over, Crew* crew, std::span<const std::function<void()>> besides);

} // namespace fw
