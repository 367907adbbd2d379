// SPDX-License-Identifier: GPL-3.0-or-later
// Pictures of the ground for tests, written by the general library.
#pragma once

#include "catch.h"
#include "intake/ogr_files.h"

#include <cstdint>
#include <functional>
#include <gdal_priv.h>
#include <ogr_spatialref.h>

namespace fw::testing {

using Color = std::array<std::uint8_t, 4>;

/// How a picture lies in its own system: north up.
struct PictureLay {
    double x0 = 0, yTop = 0, cell = 1;
    int width = 0, height = 0;
    int epsg = 0;     ///< 0: the file names none
    double cellY = 0; ///< 0: as cell
    [[nodiscard]] double down() const { return cellY > 0 ? cellY : cell; }
};

/// What kind of raster and how it is written.
struct PictureSpec {
    std::string driver = "GTiff";
    int bands = 3;
    std::vector<std::string> options = {};
    std::optional<double> noData = {};
    std::vector<std::pair<std::string, std::string>> metadata = {};
    std::vector<int> overviews = {};
    GDALDataType type = GDT_Byte;
};

inline void placeOn(GDALDataset& data, const PictureLay& lay) {
    double place[6] = {lay.x0, lay.cell, 0, lay.yTop, 0, -lay.down()};
    data.SetGeoTransform(place);
    if (lay.epsg == 0) return;
    OGRSpatialReference system;
    system.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    system.importFromEPSG(lay.epsg);
    data.SetSpatialRef(&system);
}

inline WrittenFile pictureInMemory(const PictureLay& lay, const std::function<Color(int col, int row)>& color,
                                   const PictureSpec& spec) {
    GDALAllRegister();
    CPLSetErrorHandler(CPLQuietErrorHandler);
    auto* memory = GetGDALDriverManager()->GetDriverByName("MEM");
    WrittenFile data(memory->Create("", lay.width, lay.height, spec.bands, spec.type, nullptr));
    placeOn(*data, lay);
    const GDALColorInterp roles[] = {GCI_RedBand, GCI_GreenBand, GCI_BlueBand, GCI_AlphaBand};
    std::vector<float> line(static_cast<std::size_t>(lay.width));
    for (int b = 0; b < spec.bands; ++b) {
        GDALRasterBand& band = *data->GetRasterBand(b + 1);
        band.SetColorInterpretation(spec.bands >= 3 ? roles[b] : b == 1 ? GCI_AlphaBand : GCI_GrayIndex);
        if (spec.noData) band.SetNoDataValue(*spec.noData);
        for (int r = 0; r < lay.height; ++r) {
            for (int c = 0; c < lay.width; ++c)
                line[static_cast<std::size_t>(c)] =
                    color(c, r)[static_cast<std::size_t>(spec.bands == 2 && b == 1 ? 3 : b)];
            REQUIRE(band.RasterIO(GF_Write, 0, r, lay.width, 1, line.data(), lay.width, 1, GDT_Float32, 0, 0,
                                  nullptr) == CE_None);
        }
    }
    return data;
}

inline void writePicture(const std::filesystem::path& file, const PictureLay& lay,
                         const std::function<Color(int col, int row)>& color, const PictureSpec& spec = {}) {
    const WrittenFile data = pictureInMemory(lay, color, spec);
    CPLStringList options;
    for (const std::string& o : spec.options) options.AddString(o.c_str());
    for (const auto& [key, value] : spec.metadata) data->SetMetadataItem(key.c_str(), value.c_str());
    auto* driver = GetGDALDriverManager()->GetDriverByName(spec.driver.c_str());
    REQUIRE(driver);
    WrittenFile copy(driver->CreateCopy(file.c_str(), data.get(), FALSE, options.List(), nullptr, nullptr));
    REQUIRE(copy);
    std::vector<int> overviews = spec.overviews;
    if (!overviews.empty())
        REQUIRE(copy->BuildOverviews("AVERAGE", static_cast<int>(overviews.size()), overviews.data(), 0,
                                     nullptr, nullptr, nullptr) == CE_None);
}

/// From one system to another by the general library: the judge of where something has to be.
class Judge {
public:
    Judge(int from, int to) {
        m_from.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
        m_to.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
        REQUIRE(m_from.importFromEPSG(from) == OGRERR_NONE);
        REQUIRE(m_to.importFromEPSG(to) == OGRERR_NONE);
        m_way.reset(OGRCreateCoordinateTransformation(&m_from, &m_to));
        REQUIRE(m_way);
    }
    PlanePoint operator()(PlanePoint p) const {
        REQUIRE(m_way->Transform(1, &p.x, &p.y));
        return p;
    }

private:
    OGRSpatialReference m_from, m_to;
    std::unique_ptr<OGRCoordinateTransformation> m_way;
};

} // namespace fw::testing
