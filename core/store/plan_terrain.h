// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/result.h"
#include "plan/edit.h"
#include "plan/plan.h"
#include "surface/surface.h"

#include <filesystem>
#include <memory>

namespace fw {

/// The terrain that a plan names, flat where it names none, and with it the rasters of demand and land cover
/// that it names: each a file beside or below the plan file, in the plan's system. Refused by a sentence: a
/// path that is absolute or leaves the plan's folder (links followed), a file that is missing, or one whose
/// bytes are not those the plan was made with.
Result<std::shared_ptr<const Terrain>> loadTerrain(const Plan& plan, const std::filesystem::path& planFile);

/// The step by which a plan uses a raster, which must lie beside or below the plan's file.
/// @param landCoverWeights  of a land cover: see plan/class_weights.h.
Result<Edit> useRaster(const Plan& plan, const std::filesystem::path& planFile, RasterUse use,
                       const std::filesystem::path& raster, const std::string& landCoverWeights = {});
/// The step by which it no longer does; the file stays. Without changes where it uses none.
Edit leaveRaster(const Plan& plan, RasterUse use);
/// A name beside a plan that no file has yet: "town.plan.gpkg" gives "town-terrain.tif",
/// "town-terrain-2.tif"; "town-demand.tif", "town-land-cover.tif".
std::filesystem::path freeRasterName(const std::filesystem::path& planFile, RasterUse use);
/// "terrain", "demand", "land cover".
const char* wordFor(RasterUse use);

/// Digest of a file's bytes as TerrainRef keeps it.
Result<std::string> digestOfFile(const std::filesystem::path& file);

} // namespace fw
