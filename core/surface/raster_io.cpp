// SPDX-License-Identifier: GPL-3.0-or-later
#include "surface/raster_io.h"

#include "base/text.h"

#include <cpl_error.h>
#include <fmt/format.h>
#include <gdal.h>
#include <gdal_frmts.h>
#include <ogr_srs_api.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <new>
#include <optional>

namespace fw {
namespace {

namespace fs = std::filesystem;

struct CloseDataset {
    void operator()(void* d) const { GDALClose(d); }
};
using Dataset = std::unique_ptr<void, CloseDataset>;
struct CloseSystem {
    void operator()(void* s) const { OSRDestroySpatialReference(s); }
};
using System = std::unique_ptr<void, CloseSystem>;

/// Keeps the library's messages out of the terminal while it lives; the last one stays readable.
struct QuietErrors {
    QuietErrors() {
        CPLPushErrorHandler(CPLQuietErrorHandler);
        CPLErrorReset();
    }
    ~QuietErrors() { CPLPopErrorHandler(); }
    QuietErrors(const QuietErrors&) = delete;
    QuietErrors& operator=(const QuietErrors&) = delete;
};

void registerDriver() {
    static const bool once = (GDALRegister_GTiff(), true);
    (void)once;
}

Error refusal(const fs::path& file, ErrorCode code, std::string text) {
    return {code, std::move(text), file.string()};
}

/// Why the raster's system is not the plan's, or nothing.
std::optional<std::string> systemProblem(GDALDatasetH data, int epsg) {
    OGRSpatialReferenceH stored = GDALGetSpatialRef(data);
    if (!stored)
        return fmt::format(CORE_TEXT("The raster does not say which coordinate system it is in. Assign "
                                     "EPSG:{} to it if that is what it is, and read it again."),
                           epsg);
    const System have(OSRClone(stored)), want(OSRNewSpatialReference(nullptr));
    if (OSRImportFromEPSG(want.get(), epsg) != OGRERR_NONE)
        return fmt::format(CORE_TEXT("EPSG:{} is not a system that the library knows."), epsg);
    if (OSRIsCompound(have.get())) OSRDemoteTo2D(have.get(), nullptr);
    const char* options[] = {"IGNORE_DATA_AXIS_TO_SRS_AXIS_MAPPING=YES", "CRITERION=EQUIVALENT", nullptr};
    if (OSRIsSameEx(have.get(), want.get(), options)) return std::nullopt;
    const char* name = OSRGetName(have.get());
    return fmt::format(CORE_TEXT("The raster is in \"{}\", the plan in EPSG:{}. Warp the raster into the "
                                 "plan's system first."),
                       name ? name : "an unnamed system", epsg);
}

struct Shape {
    int width = 0, height = 0;
    double x0 = 0, yTop = 0, cellM = 0;
};

Result<Shape> shapeOf(const fs::path& file, GDALDatasetH data) {
    Shape s;
    s.width = GDALGetRasterXSize(data);
    s.height = GDALGetRasterYSize(data);
    constexpr double kMostCells = 200e6;
    if (double{1} * s.width * s.height > kMostCells)
        return refusal(file, ErrorCode::badInput,
                       fmt::format(CORE_TEXT("The raster has {} x {} cells, more than 200 million. Cut it to "
                                             "the area of work or make its cells larger."),
                                   s.width, s.height));
    double g[6] = {};
    if (GDALGetGeoTransform(data, g) != CE_None)
        return refusal(file, ErrorCode::badInput,
                       CORE_TEXT("The raster does not say where it lies. Georeference it first."));
    if (g[2] != 0 || g[4] != 0 || g[1] <= 0 || g[5] >= 0)
        return refusal(file, ErrorCode::badInput,
                       CORE_TEXT("The raster is rotated or not north up. Warp it to a north-up grid first."));
    // Writers round the two sides on their own; a millionth of a cell is no difference in shape.
    if (std::fabs(g[1] + g[5]) > 1e-6 * g[1])
        return refusal(file, ErrorCode::badInput,
                       fmt::format(CORE_TEXT("The raster's cells are {} m wide and {} m high. Resample it to "
                                             "square cells first."),
                                   g[1], -g[5]));
    s.x0 = g[0];
    s.yTop = g[3];
    s.cellM = g[1];
    return s;
}

/// Gives every cell without data (NaN) the mean of its neighbours with data, ring after ring outwards from
/// where there are any. False when no cell has data.
bool fillGaps(Grid<float>& g) {
    std::vector<std::size_t> open;
    for (std::size_t k = 0; k < g.cells.size(); ++k)
        if (std::isnan(g.cells[k])) open.push_back(k);
    if (open.size() == g.cells.size()) return false;
    const auto meanAround = [&](std::size_t k) {
        const int c = static_cast<int>(k % static_cast<std::size_t>(g.width));
        const int r = static_cast<int>(k / static_cast<std::size_t>(g.width));
        double sum = 0;
        int n = 0;
        for (int dr = -1; dr <= 1; ++dr)
            for (int dc = -1; dc <= 1; ++dc)
                if (g.inside(c + dc, r + dr) && !std::isnan(g.at(c + dc, r + dr))) {
                    sum += g.at(c + dc, r + dr);
                    ++n;
                }
        return n ? static_cast<float>(sum / n) : std::numeric_limits<float>::quiet_NaN();
    };
    // Each pass visits the rim of what is still open; the rest of a wide gap waits for its turn.
    std::vector<std::pair<std::size_t, float>> found;
    std::vector<std::size_t> rim = open, next;
    std::vector<char> queued(g.cells.size(), 0);
    while (!rim.empty()) {
        found.clear();
        for (const std::size_t k : rim)
            if (const float m = meanAround(k); !std::isnan(m)) found.emplace_back(k, m);
        for (const auto& [k, m] : found) g.cells[k] = m;
        next.clear();
        for (const auto& [k, m] : found) {
            const int c = static_cast<int>(k % static_cast<std::size_t>(g.width));
            const int r = static_cast<int>(k / static_cast<std::size_t>(g.width));
            for (int dr = -1; dr <= 1; ++dr)
                for (int dc = -1; dc <= 1; ++dc) {
                    if (!g.inside(c + dc, r + dr)) continue;
                    const std::size_t q = g.index(c + dc, r + dr);
                    if (!std::isnan(g.cells[q]) || queued[q]) continue;
                    queued[q] = 1;
                    next.push_back(q);
                }
        }
        for (const std::size_t q : next) queued[q] = 0;
        rim.swap(next);
    }
    return true;
}

Result<Terrain> readBand(const fs::path& file, GDALDatasetH data, const Shape& shape) {
    const GDALRasterBandH band = GDALGetRasterBand(data, 1);
    if (!band || GDALDataTypeIsComplex(GDALGetRasterDataType(band)))
        return refusal(file, ErrorCode::badInput, CORE_TEXT("The raster's first band holds no heights."));
    const std::string unit = GDALGetRasterUnitType(band);
    if (!unit.empty() && unit != "m" && unit != "metre" && unit != "meter" && unit != "metres" &&
        unit != "meters")
        return refusal(
            file, ErrorCode::badInput,
            fmt::format(CORE_TEXT("The raster's heights are in \"{}\". Convert them to metres first."),
                        unit));
    int hasNoData = 0, hasScale = 0, hasOffset = 0;
    const double noData = GDALGetRasterNoDataValue(band, &hasNoData);
    double scale = GDALGetRasterScale(band, &hasScale), offset = GDALGetRasterOffset(band, &hasOffset);
    if (!hasScale) scale = 1;
    if (!hasOffset) offset = 0;

    Terrain t;
    t.heights = Grid<float>(shape.x0, shape.yTop - shape.height * shape.cellM, shape.cellM, shape.width,
                            shape.height);
    std::vector<double> line(static_cast<std::size_t>(shape.width));
    for (int r = 0; r < shape.height; ++r) {
        if (GDALRasterIO(band, GF_Read, 0, r, shape.width, 1, line.data(), shape.width, 1, GDT_Float64, 0,
                         0) != CE_None)
            return refusal(
                file, ErrorCode::cannotRead,
                fmt::format(CORE_TEXT("Row {} of the raster cannot be read: {}"), r, CPLGetLastErrorMsg()));
        float* out = &t.heights.at(0, shape.height - 1 - r);
        for (int c = 0; c < shape.width; ++c) {
            const double v = line[static_cast<std::size_t>(c)];
            // A no-data value is stored as a double but means the band's own rounding of it.
            const bool missing =
                !std::isfinite(v) ||
                (hasNoData && (v == noData || static_cast<float>(v) == static_cast<float>(noData)));
            const double h = v * scale + offset;
            // No ground lies outside this range; such a value is a filler that the file does not declare.
            out[c] = missing || std::fabs(h) > 12000 ? std::numeric_limits<float>::quiet_NaN()
                                                     : static_cast<float>(h);
        }
    }
    if (!fillGaps(t.heights))
        return refusal(file, ErrorCode::badInput, CORE_TEXT("The raster has no cell with a height."));
    return t;
}

} // namespace

Result<Terrain> readTerrain(const fs::path& file, int epsg) {
    std::error_code ec;
    if (!fs::exists(file, ec))
        return refusal(file, ErrorCode::notFound, CORE_TEXT("There is no such file. Choose a GeoTIFF."));
    if (!fs::is_regular_file(file, ec))
        return refusal(file, ErrorCode::badInput, CORE_TEXT("This is not a regular file. Choose a GeoTIFF."));
    const fs::path whole =
        fs::absolute(file, ec); // a bare name could read as one of the library's own schemes
    if (ec) return refusal(file, ErrorCode::cannotRead, CORE_TEXT("The file's path cannot be resolved."));
    try {
        const QuietErrors quiet;
        registerDriver();
        const char* drivers[] = {"GTiff", nullptr};
        const Dataset data(
            GDALOpenEx(whole.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY, drivers, nullptr, nullptr));
        if (!data)
            return refusal(
                file, ErrorCode::cannotRead,
                CORE_TEXT("This is not a GeoTIFF that can be read. Convert the terrain to GeoTIFF."));
        const Result<Shape> shape = shapeOf(file, data.get());
        if (!shape) return shape.error();
        if (const auto problem = systemProblem(data.get(), epsg))
            return refusal(file, ErrorCode::badInput, *problem);
        return readBand(file, data.get(), *shape);
    } catch (const std::bad_alloc&) {
        return refusal(file, ErrorCode::cannotRead,
                       CORE_TEXT("There is not enough memory for this raster. Cut it to the area of work."));
    }
}

Status writeTerrain(const fs::path& file, const Grid<float>& heights, int epsg) {
    if (heights.empty())
        return refusal(file, ErrorCode::badInput, CORE_TEXT("There are no heights to write."));
    std::error_code ec;
    const fs::path whole = fs::absolute(file, ec);
    if (ec || !fs::is_directory(whole.parent_path(), ec))
        return refusal(file, ErrorCode::cannotWrite,
                       CORE_TEXT("The folder does not exist. Choose a folder that does."));
    const QuietErrors quiet;
    registerDriver();
    const System system(OSRNewSpatialReference(nullptr));
    if (OSRImportFromEPSG(system.get(), epsg) != OGRERR_NONE)
        return refusal(file, ErrorCode::badInput,
                       fmt::format(CORE_TEXT("EPSG:{} is not a system that the library knows."), epsg));
    OSRSetAxisMappingStrategy(system.get(), OAMS_TRADITIONAL_GIS_ORDER);
    const auto failed = [&] {
        return refusal(file, ErrorCode::cannotWrite,
                       fmt::format(CORE_TEXT("The raster cannot be written: {}"), CPLGetLastErrorMsg()));
    };
    const char* options[] = {"COMPRESS=DEFLATE", "PREDICTOR=3", "TILED=YES", nullptr};
    Dataset data(GDALCreate(GDALGetDriverByName("GTiff"), whole.c_str(), heights.width, heights.height, 1,
                            GDT_Float32, options));
    if (!data) return failed();
    double g[6] = {heights.x0, heights.cellM, 0, heights.y0 + heights.height * heights.cellM,
                   0,          -heights.cellM};
    bool good = GDALSetGeoTransform(data.get(), g) == CE_None &&
                GDALSetSpatialRef(data.get(), system.get()) == CE_None;
    const GDALRasterBandH band = GDALGetRasterBand(data.get(), 1);
    std::vector<float> line;
    for (int r = 0; good && r < heights.height; ++r) {
        const float* from = &heights.at(0, heights.height - 1 - r);
        line.assign(from, from + heights.width);
        good = GDALRasterIO(band, GF_Write, 0, r, heights.width, 1, line.data(), heights.width, 1,
                            GDT_Float32, 0, 0) == CE_None;
    }
    // A full disk shows only when the last blocks go out.
    CPLErrorReset();
    data.reset();
    if (!good || CPLGetLastErrorType() >= CE_Failure) return failed();
    return Done{};
}

} // namespace fw
