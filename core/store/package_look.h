// SPDX-License-Identifier: GPL-3.0-or-later
// The file's own table of contents, by which other programs find the layers of a plan.
#pragma once

#include "gpkg/sqlite.h"
#include "plan/plan.h"
#include "store/plan_fault.h"

namespace fw {

/// Tells of layers that gpkg_contents or gpkg_geometry_columns does not name, and of the plan's reference
/// system when gpkg_spatial_ref_sys does not have it. For a sink that goes on: opening does not need any of
/// it.
Status lookAtPackage(Database& db, const Plan& plan, FaultSink& sink);

} // namespace fw
