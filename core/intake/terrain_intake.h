// SPDX-License-Identifier: GPL-3.0-or-later
// Ground heights out of a raster, before and when they come beside a plan.
#pragma once

#include "intake/preview.h"
#include "intake/raster_source.h"

namespace fw {

struct TerrainRequest {
    int epsg = 0;                ///< of the file, where it names none, or a wrong one
    std::optional<double> cellM; ///< side of the plan's cells; unset: about the file's
    std::optional<bool> feet;    ///< heights are in feet; unset: as the file says
};

struct TerrainPreview {
    RasterHead head;
    std::string crs; ///< the file's system in words; empty: not known
    Box there;       ///< of the file, in the plan
    Box taken;       ///< what would be taken: work area and reach of macros, where the plan has an area
    double cellM = 0;
    double factor = 1;       ///< metres per unit of the file's heights
    double missingShare = 0; ///< of the ground that is wanted and the file does not reach, 0..1
    std::vector<IntakeRemark> remarks;
    [[nodiscard]] bool usable() const;
};

/// Looks at the file only. Refused as lookAtRaster() says.
Result<TerrainPreview> previewTerrain(const Plan& plan, const std::filesystem::path& file,
                                      const TerrainRequest& request, const Job& job = {});

/// Writes the plan's terrain (GeoTIFF) to `out`; see warpToPlan(). The plan must then be told (useTerrain in
/// store/plan_terrain.h).
Status writeTerrainFor(const Plan& plan, const TerrainPreview& preview, const std::filesystem::path& out,
                       const Job& job = {});

} // namespace fw
