// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/result.h"
#include "surface/surface.h"

#include <filesystem>

namespace fw {

/// Reads a terrain raster (GeoTIFF) that is already in the plan's system, metres, north up. Refused by a
/// sentence: other drivers, anything but an existing regular file, other systems than `epsg`, rotated
/// rasters, cells that are not square, more than 120 million cells (11 x 11 km at 1 m;
/// they take 480 MB), blocks of more than 64 MiB, many cells of which next to none has data. Cells without
/// data take the mean of their nearest neighbours with data.
Result<Terrain> readTerrain(const std::filesystem::path& file, int epsg);
/// The same for where traffic is: amounts by cell become densities (see DemandGrid); no data and what is not
/// above nothing count as nothing. Refused besides: cells whose side is under 4 m or does not divide 512 m,
/// or that do not stand on multiples of it; no cell with any demand.
Result<DemandGrid> readDemand(const std::filesystem::path& file, int epsg);
/// The same for classes, whole numbers from 0 to 65535.
Result<ClassGrid> readLandCover(const std::filesystem::path& file, int epsg);
/// Writes a GeoTIFF (Float32, deflate) in that system.
Status writeTerrain(const std::filesystem::path& file, const Grid<float>& heights, int epsg);

} // namespace fw
