// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/raster_file.h"

#include "base/text.h"
#include "intake/gdal_scope.h"

#include <fmt/format.h>
#include <gdal_priv.h>

#include <cmath>

namespace fw {
namespace {

const char* driverOf(FileFormat format) {
    switch (format) {
    case FileFormat::asciiGrid:
        return "AAIGrid";
    case FileFormat::srtm:
        return "SRTMHGT";
    case FileFormat::dted:
        return "DTED";
    default:
        return "GTiff";
    }
}

} // namespace

void CloseRaster::operator()(GDALDataset* data) const { GDALClose(data); }

GDALRasterBand& OpenedRaster::band() const { return *data->GetRasterBand(1); }

Result<OpenedRaster> openRaster(const std::filesystem::path& file) {
    const auto admitted = admitFile(file);
    if (!admitted) return admitted.error();
    const auto refusal = [&](std::string text) {
        return Error{ErrorCode::badInput, std::move(text), admitted->whole.string()};
    };
    if (!isRaster(admitted->format) || admitted->format == FileFormat::mbTiles)
        return refusal(fmt::format(CORE_TEXT("This is {}, not a raster. Choose a GeoTIFF, ASCII grid, HGT or "
                                             "DTED file."),
                                   nameOf(admitted->format)));
    OpenedRaster opened;
    opened.format = admitted->format;
    opened.whole = admitted->whole;
    const char* drivers[] = {driverOf(admitted->format), nullptr};
    const char* noSiblings[] = {nullptr};
    opened.data.reset(GDALDataset::Open(admitted->whole.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY, drivers,
                                        nullptr, noSiblings));
    if (!opened.data || opened.data->GetRasterCount() == 0)
        return refusal(fmt::format(CORE_TEXT("This looks like {} but cannot be read as such ({}). Export it "
                                             "again as GeoTIFF."),
                                   nameOf(admitted->format), GdalScope::lastMessage()));
    const auto& p = opened.place;
    if (opened.data->GetGeoTransform(opened.place.data()) != CE_None ||
        !(std::fabs(p[1] * p[5] - p[2] * p[4]) > 0) || !std::isfinite(p[0] + p[3]))
        return refusal(CORE_TEXT("The raster does not say where it lies. Georeference it first."));
    GDALRasterBand& band = opened.band();
    if (GDALDataTypeIsComplex(band.GetRasterDataType()))
        return refusal(CORE_TEXT("The raster's first band holds complex numbers. Choose one with heights, "
                                 "amounts or classes."));
    int w = 0, h = 0;
    band.GetBlockSize(&w, &h);
    if (double{1} * w * h * GDALGetDataTypeSizeBytes(band.GetRasterDataType()) > 64.0 * (1 << 20))
        return refusal(
            fmt::format(CORE_TEXT("The raster is stored in blocks of {} x {} cells, which are read "
                                  "as a whole. Write it anew in tiles of 256 x 256."),
                        w, h));
    return opened;
}

} // namespace fw
