// SPDX-License-Identifier: GPL-3.0-or-later
// The steps behind figures of one building, and a second opinion on what its walls take.
#pragma once

#include "base/working.h"
#include "study/indoor_coverage.h"

namespace fw {

/// Of one building; null where it has no samples.
const BuildingCoverage* coverageOf(const IndoorCoverage& all, ItemId building);

/// The steps to the share of a building's samples that are covered, before and after, in %.
Working workingOfCoverage(const Study& study, const IndoorSpec& spec, const BuildingCoverage& coverage);

/// Loss into a building on a level path, by the plan's model and by the other one, at the lowest frequency of
/// the plan's macros. The two are alternatives: they are never added.
struct EntryOpinion {
    Hertz frequency{0};
    EntryKind kind = EntryKind::unknown;
    EntryModel chosen = EntryModel::p2109, other = EntryModel::o2i;
    double chosenDb = 0, otherDb = 0;
};
/// Empty for what is no building of the plan, and for a plan without macros.
std::optional<EntryOpinion> entryOpinion(const Study& study, ItemId building);
Working workingOfEntry(const Study& study, ItemId building, const EntryOpinion& opinion);

} // namespace fw
