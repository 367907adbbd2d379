// SPDX-License-Identifier: GPL-3.0-or-later
// Ground heights, demand and land cover out of a raster, before and when they come beside a plan.
#pragma once

#include "intake/preview.h"
#include "intake/raster_source.h"

namespace fw {

/// The kind of intake by which a raster of that use comes in, and the other way round (heights for kinds that
/// are no raster's).
IntakeKind kindOf(RasterUse use);
RasterUse useOf(IntakeKind kind);

struct RasterRequest {
    RasterUse use = RasterUse::height;
    int epsg = 0;                ///< of the file, where it names none, or a wrong one
    std::optional<double> cellM; ///< side of the plan's cells; unset: about the file's
    std::optional<bool> feet;    ///< heights are in feet; unset: as the file says
    std::string classWeights;    ///< of a land cover: see plan/class_weights.h
};

struct RasterPreview {
    RasterUse use = RasterUse::height;
    RasterHead head;
    std::string crs; ///< the file's system in words; empty: not known
    Box there;       ///< of the file, in the plan
    /// What would be taken: of heights the work area and the reach of macros, else the tiles of the work
    /// area; all of the file where the plan has no area.
    Box taken;
    double cellM = 0;
    double factor = 1;        ///< metres per unit of the file's heights
    double missingShare = 0;  ///< of the ground that is wanted and the file does not reach, 0..1
    std::string classWeights; ///< as they will be kept
    std::vector<IntakeRemark> remarks;
    [[nodiscard]] bool usable() const;
};

/// Looks at the file only. Refused as lookAtRaster() says, and class weights that cannot be read.
Result<RasterPreview> previewRaster(const Plan& plan, const std::filesystem::path& file,
                                    const RasterRequest& request, const Job& job = {});

/// Writes the plan's raster (GeoTIFF) to `out`; see warpToPlan(). The plan must then be told (useRaster in
/// store/plan_terrain.h).
Status writeRasterFor(const Plan& plan, const RasterPreview& preview, const std::filesystem::path& out,
                      const Job& job = {});

} // namespace fw
