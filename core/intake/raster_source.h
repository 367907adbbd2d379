// SPDX-License-Identifier: GPL-3.0-or-later
// Rasters that somebody hands in: what they say of themselves, and their way into the plan's grid.
#pragma once

#include "base/job.h"
#include "base/result.h"
#include "geo/shape.h"
#include "intake/place_reader.h"
#include "plan/settings.h"

#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace fw {

struct RasterHead {
    std::filesystem::path file;
    std::string format; ///< "GeoTIFF", "HGT", ...
    int width = 0, height = 0, bands = 0;
    double cellX = 0, cellY = 0; ///< in the units of its system, positive
    SourceSystem system;         ///< unknown: ask for it
    std::string crsName;
    std::optional<double> least, most; ///< of cells with data, in the file's unit; none: no cell has data
    double emptyShare = 0;             ///< cells without data, 0..1
    bool sampled = false;              ///< the three above are of a part of the cells, evenly spread
    std::optional<double> filler;      ///< stands for "no data", declared or not
    std::string unit;                  ///< of the values as the file says: "m", "ft"; empty: nothing
    double metresPerUnit = 1;          ///< of heights, 1 where the file does not say
    std::string unitNote;              ///< a sentence on the unit, if they are heights; empty: none is needed
    /// Share of each class among cells with data, where they are whole numbers from 0 to 65535 and not more
    /// than 256 different ones.
    std::map<std::int32_t, double> classShares;
    std::map<std::int32_t, std::string> classNames; ///< as the file has them, may be empty
    std::vector<std::string> notes;                 ///< sentences for the preview
};

/// Refused by a sentence: what file_gate.h refuses, files without rows and columns in an even grid, blocks of
/// more than 64 MiB. Ends with ErrorCode::cancelled when the job is stopped.
Result<RasterHead> lookAtRaster(const std::filesystem::path& file, const Job& job = {});

struct RasterPlace {
    Box extent;       ///< in the plan, of what has a place in its system
    double cellM = 0; ///< side of a square as large as the cell in the middle
};
/// @param system  the head's own, or what the user says where it has none.
Result<RasterPlace> placeOf(const RasterHead& head, const SourceSystem& system, const Frame& plan);

struct WarpRequest {
    SourceSystem system;
    RasterUse use = RasterUse::height;
    Box extent;        ///< in the plan; grown to whole cells on a grid anchored at its origin
    double cellM = 0;  ///< side of the new cells
    double factor = 1; ///< by which values are multiplied: metres per unit of heights
};

/// Writes a GeoTIFF in the plan's system, north up, cells without data marked. It appears under its name only
/// once it is whole. Refused by a sentence: no overlap with the extent, more than 120 million cells (what
/// readTerrain takes), no way from its system to the plan's. ErrorCode::cancelled within 0.2 s of a stop,
/// and nothing is left.
Status warpToPlan(const std::filesystem::path& file, const Frame& plan, const WarpRequest& request,
                  const std::filesystem::path& out, const Job& job = {});

} // namespace fw
