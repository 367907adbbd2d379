// SPDX-License-Identifier: GPL-3.0-or-later
// What carries a mount, and where to hold the tape.
#pragma once

#include "delivery/sight_marks.h"
#include "study/study.h"

namespace fw {

const char* wordFor(MountKind kind); ///< "pole", "wall", "parapet", "roof"
const char* wordFor(ConsentState s); ///< "not yet asked", "asked", "given", "refused"

/// The building of an id as a crew would know it; empty for anything else.
std::optional<SightSolid> solidOf(const Plan& plan, ItemId id);

/// The building that carries a mount, or none.
ItemId ownBuilding(const Study& study, ItemId mount);

/// "wall of Harbour Mill", "roof of block, 4 storeys", "pole".
std::string supportText(const Study& study, const Mount& mount);

/// A dimension from a fixed edge: for a wall or parapet along it, from the corner on the left as one faces it
/// from outside; else from the nearest building corner within 40 m. Empty when there is none. Ground metres,
/// to the centimetre as the plan has it, which is no better than its footprints.
std::string tapeText(const Study& study, const Mount& mount);

/// Along the wall nearest to `at`, straight on over corners that turn by less than 5 degrees.
struct WallRun {
    double fromLeftM = 0, lengthM = 0; ///< plane metres; left as one faces the wall from outside
};
std::optional<WallRun> wallRun(const Polygon& footprint, PlanePoint at);

} // namespace fw
