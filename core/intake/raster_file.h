// SPDX-License-Identifier: GPL-3.0-or-later
// A raster opened by the one driver that reads its format.
#pragma once

#include "base/result.h"
#include "intake/file_gate.h"

#include <array>
#include <filesystem>
#include <memory>

class GDALDataset;
class GDALRasterBand;

namespace fw {

struct CloseRaster {
    void operator()(GDALDataset* data) const;
};
using RasterFile = std::unique_ptr<GDALDataset, CloseRaster>;

/// Within a GdalScope that lives as long as the raster is used. Refused by a sentence: see lookAtRaster().
struct OpenedRaster {
    RasterFile data;
    FileFormat format = FileFormat::geoTiff;
    std::filesystem::path whole;
    std::array<double, 6> place{}; ///< from column and row to its system, as the library has it
    [[nodiscard]] GDALRasterBand& band() const;
};
Result<OpenedRaster> openRaster(const std::filesystem::path& file);

} // namespace fw
