// SPDX-License-Identifier: GPL-3.0-or-later
// A plan into the tables of its file. All within a transaction of the caller's.
#pragma once

#include "gpkg/package.h"
#include "gpkg/sqlite.h"
#include "plan/plan.h"
#include "plan/snapshot.h"

namespace fw {

/// The plan's reference system as a package describes it; undefined where the code is none that the program
/// can use. Such a plan opens, and what opens can be saved.
PackageSrs systemOf(int epsg);

/// All tables of a plan into an empty database; its save count is 1.
Status writeNewPlan(Database& db, const Plan& plan);

/// Brings the tables from `before` to `plan`, whose difference is `changes`, and touches no row that stays as
/// it is.
Status writePlanChanges(Database& db, const Plan& before, const Plan& plan, const PlanDiff& changes);

/// Whether what is written would open again: of all items, or of those that differ from a plan that would.
Status wouldOpen(const Plan& plan);
Status wouldOpen(const Plan& plan, const PlanDiff& changes);

/// Whether rows of every layer could be written; writes none. Fails where a trigger on the way would do
/// what is not let (gpkg/trigger_guard.h).
Status mayWriteLayers(Database& db);

} // namespace fw
