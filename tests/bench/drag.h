// SPDX-License-Identifier: GPL-3.0-or-later
// One small cell dragged over a city: everything that follows the pointer, computed anew each frame.
#pragma once

#include "bench/measure.h"
#include "study/study.h"

#include <memory>

namespace fw::bench {

/// CPU time of the one thread that a frame runs on.
struct DragTimes {
    Series press;                                            ///< what the others do, summed once
    Series position, relief, ledger, fit, review, footprint; ///< parts of a move
    Series move;                                             ///< all of them
    Series turned; ///< another azimuth: what it brings to the ground
    Series turn;   ///< that, and ledger and fit
    double findingsPerMove = 0;
};

/// Small cells picked at random, each moved by some metres and degrees 25 times and turned alone 4 times.
/// The study must hold chosen small cells. Empty series when a frame came out without a result.
DragTimes measureDrag(const std::shared_ptr<const Study>& study, std::size_t moves);

} // namespace fw::bench
