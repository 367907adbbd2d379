// SPDX-License-Identifier: GPL-3.0-or-later
// Totals of an overlay: what lies under it without the dragged cells, and their new part by difference.
// Private to core/study.
#pragma once

#include "base/crew.h"
#include "study/state.h"

namespace fw {

/// A receiver's divisions without the dragged cells, in one layer. They do not change with the cells'
/// position: each is made once, when a frame first passes over it.
struct PressedLayer {
    std::once_flag made;
    std::vector<Division> divisions; ///< by receiver, where `known`
    std::vector<std::uint8_t> known;
};

/// The others' part of one tile while some small cells are being dragged.
struct PressTile {
    TileSmalls smalls;
    std::vector<PressedLayer> layers;
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
