// SPDX-License-Identifier: GPL-3.0-or-later
// How long somebody who drives along a street stays where a small cell leads.
#pragma once

#include "study/study.h"

namespace fw {

struct DwellOptions {
    double speedKmh = 50; ///< built-up area, common practice
    double leastS = 5;    ///< under it a fast user costs more signalling than it gains [own]
};

struct Dwell {
    ItemId small;
    int chords = 0; ///< stretches of street where it leads, of a pixel (4 m) or more
    double longestM = 0, medianM = 0;
    double longestS = 0, medianS = 0;
    bool passed = false; ///< there are chords, and even the longest takes less than DwellOptions::leastS
};

/// Of each chosen small cell, ascending by id. A chord runs along one street of the plan without a break,
/// over its corners, where the cell as entered is stronger than every macro of its carrier
/// (SmallFootprint::leads). It is measured in pieces of at most a metre; shorter ones than a pixel are taken
/// for the grid's corners and left out.
std::vector<Dwell> dwells(const Study& study, const DwellOptions& options = {});

} // namespace fw
