// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/workspace.h"

#include <QString>

namespace fw {

/// The six things the job consists of.
enum class Stage { load, fringe, cells, works, pack, asBuilt };
inline constexpr int kStages = 6;

QString stageName(Stage stage); ///< "Load"
/// How many: cells over the trigger, congestion areas, chosen small cells, mounts to be built, sites ready,
/// sites recorded. Empty without a plan.
QString stageCount(Stage stage, const Workspace& space);
/// The same and where it stands, in words: "5 cells over the trigger". Quick enough for every frame of a
/// drag.
QString stageState(Stage stage, const Workspace& space);
/// What to do next where the stage's table has no rows.
QString stageEmptyText(Stage stage, const Workspace& space);

/// Mounts of a plan that carry a chosen small cell of the active variant, ascending.
std::vector<ItemId> mountsInWork(const Plan& plan);
/// Radios of it that do, ascending.
std::vector<ItemId> radiosInWork(const Plan& plan);
/// Whether a crew can go to a mount: a finding that blocks comes before what its owner has said.
enum class SiteState { ready, waits, refused, blocked };
SiteState siteState(const Workspace& space, const Mount& mount);
/// Items that a mount's findings may be about: itself, its radios, its small cells of the active variant.
std::vector<ItemId> familyOf(const Plan& plan, ItemId mount);

} // namespace fw
