// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "plan/edit.h"
#include "study/study.h"

namespace fw {

/// The fringe of a macro cell: the densest ground that holds half of its movable PRB cost, joined and
/// smoothed.
struct FringeMap {
    ItemId cell;
    std::vector<Polygon> areas;
    double areaM2 = 0;
    double costShare =
        0; ///< of the cell's movable cost, what lies in the classes the fringe is made of, 0..1
};
FringeMap fringeOf(const Study& study, ItemId cell);

/// Turns a fringe into congestion areas, one for each part, as one undoable edit. Refused where there is
/// none.
Result<Edit> fringeToAreas(const Study& study, const FringeMap& fringe);

} // namespace fw
