// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/result.h"
#include "plan/edit.h"
#include "plan/plan.h"
#include "surface/surface.h"

#include <filesystem>
#include <memory>

namespace fw {

/// The terrain that a plan names: a raster beside or below the plan file, in the plan's system. Flat where it
/// names none. Refused by a sentence: a path that is absolute or leaves the plan's folder (links followed), a
/// file that is missing, or one whose bytes are not those the plan was made with.
Result<std::shared_ptr<const Terrain>> loadTerrain(const Plan& plan, const std::filesystem::path& planFile);

/// The step by which a plan stands on a terrain file, which must lie beside or below the plan's.
Result<Edit> useTerrain(const Plan& plan, const std::filesystem::path& planFile,
                        const std::filesystem::path& terrain);
/// A name beside a plan that no file has yet: "town.plan.gpkg" gives "town-terrain.tif",
/// "town-terrain-2.tif".
std::filesystem::path freeTerrainName(const std::filesystem::path& planFile);

/// Digest of a file's bytes as TerrainRef keeps it.
Result<std::string> digestOfFile(const std::filesystem::path& file);

} // namespace fw
