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
    constexpr double kMostCells = 120e6;
    if (double{1} * s.width * s.height > kMostCells)
        return refusal(file, ErrorCode::badInput,
                       fmt::format(CORE_TEXT("The raster has {} x {} cells, more than 120 million. Cut it to "
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

/// Cells without data that touch one with data, in order.
std::vector<std::size_t> rimOf(const Grid<float>& g) {
    std::vector<std::size_t> rim;
    for (int r = 0; r < g.height; ++r)
        for (int c = 0; c < g.width; ++c) {
            if (!std::isnan(g.at(c, r))) continue;
            bool touches = false;
            for (int dr = -1; dr <= 1; ++dr)
                for (int dc = -1; dc <= 1; ++dc)
                    touches = touches || (g.inside(c + dc, r + dr) && !std::isnan(g.at(c + dc, r + dr)));
            if (touches) rim.push_back(g.index(c, r));
        }
    return rim;
}

/// Gives every cell without data (NaN) the mean of its neighbours with data, ring after ring outwards from
/// where there are any.
void fillGaps(Grid<float>& g) {
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
    std::vector<std::size_t> rim = rimOf(g), next;
    std::vector<bool> queued(rim.empty() ? 0 : g.cells.size());
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
                    queued[q] = true;
                    next.push_back(q);
                }
        }
        for (const std::size_t q : next) queued[q] = false;
        rim.swap(next);
    }
}

/// Why the gaps of a raster cannot be filled, or nothing.
std::optional<std::string> gapProblem(const Grid<float>& g) {
    const auto known = static_cast<std::size_t>(
        std::count_if(g.cells.begin(), g.cells.end(), [](float h) { return !std::isnan(h); }));
    if (known == 0) return CORE_TEXT("The raster has no cell with a height.");
    constexpr std::size_t kMany = 1000000;
    if (g.cells.size() < kMany || known >= g.cells.size() / 100) return std::nullopt;
    return fmt::format(
        CORE_TEXT("Of the raster's {} x {} cells only {} have a height, less than one in a hundred. "
                  "Cut it to where there are heights."),
        g.width, g.height, known);
}

/// Why a raster's way of storing its cells cannot be read in bounded memory, or nothing.
std::optional<std::string> blockProblem(GDALRasterBandH band) {
    int width = 0, height = 0;
    GDALGetBlockSize(band, &width, &height);
    const double bytes = double{1} * width * height * GDALGetDataTypeSizeBytes(GDALGetRasterDataType(band));
    if (bytes <= 64.0 * (1 << 20)) return std::nullopt;
    return fmt::format(
        CORE_TEXT("The raster is stored in blocks of {} x {} cells, which are read as a whole. Write it "
                  "anew in tiles of 256 x 256."),
        width, height);
}

constexpr double kAnyAmount = 1e30;    // a bound for what is no height
constexpr double kMostHeightM = 12000; // no ground lies higher, nor as deep

/// How a band's numbers become heights, or what else it holds.
struct Meaning {
    int hasNoData = 0, hasScale = 0, hasOffset = 0;
    double noData = 0, scale = 1, offset = 0, most = kMostHeightM;

    Meaning(GDALRasterBandH band, double largest) : most(largest) {
        noData = GDALGetRasterNoDataValue(band, &hasNoData);
        const double s = GDALGetRasterScale(band, &hasScale), o = GDALGetRasterOffset(band, &hasOffset);
        if (hasScale) scale = s;
        if (hasOffset) offset = o;
    }
    [[nodiscard]] float value(double v) const {
        // A no-data value is stored as a double but means the band's own rounding of it.
        const bool missing =
            !std::isfinite(v) ||
            (hasNoData && (v == noData || static_cast<float>(v) == static_cast<float>(noData)));
        const double h = v * scale + offset;
        // What lies outside is a filler that the file does not declare.
        return missing || std::fabs(h) > most ? std::numeric_limits<float>::quiet_NaN()
                                              : static_cast<float>(h);
    }
};

/// Reads block by block, so that one block and no more is held beside the grid; what went wrong, or nothing.
std::optional<std::string> readCells(GDALRasterBandH band, Grid<float>& heights, double most) {
    const Meaning meaning(band, most);
    int width = 0, height = 0;
    GDALGetBlockSize(band, &width, &height);
    std::vector<double> line(static_cast<std::size_t>(std::min(width, heights.width)));
    for (int top = 0; top < heights.height; top += height)
        for (int left = 0; left < heights.width; left += width) {
            const int columns = std::min(width, heights.width - left);
            const int bottom = std::min(top + height, heights.height);
            for (int r = top; r < bottom; ++r) {
                if (GDALRasterIO(band, GF_Read, left, r, columns, 1, line.data(), columns, 1, GDT_Float64, 0,
                                 0) != CE_None)
                    return fmt::format(CORE_TEXT("Row {} of the raster cannot be read: {}"), r,
                                       CPLGetLastErrorMsg());
                float* out = &heights.at(left, heights.height - 1 - r);
                for (int c = 0; c < columns; ++c) out[c] = meaning.value(line[static_cast<std::size_t>(c)]);
            }
            GDALFlushRasterCache(band); // else kept up to a share of the machine's memory
        }
    return std::nullopt;
}

// Cells of the first band, NaN where there is no data.
Result<Grid<float>> readBand(const fs::path& file, GDALDatasetH data, const Shape& shape, bool heights) {
    const GDALRasterBandH band = GDALGetRasterBand(data, 1);
    if (!band || GDALDataTypeIsComplex(GDALGetRasterDataType(band)))
        return refusal(file, ErrorCode::badInput,
                       heights ? CORE_TEXT("The raster's first band holds no heights.")
                               : CORE_TEXT("The raster's first band holds no plain numbers."));
    if (const auto problem = blockProblem(band)) return refusal(file, ErrorCode::badInput, *problem);
    const std::string unit = GDALGetRasterUnitType(band);
    if (heights && !unit.empty() && unit != "m" && unit != "metre" && unit != "meter" && unit != "metres" &&
        unit != "meters")
        return refusal(
            file, ErrorCode::badInput,
            fmt::format(CORE_TEXT("The raster's heights are in \"{}\". Convert them to metres first."),
                        unit));
    Grid<float> cells(shape.x0, shape.yTop - shape.height * shape.cellM, shape.cellM, shape.width,
                      shape.height);
    if (auto failed = readCells(band, cells, heights ? kMostHeightM : kAnyAmount))
        return refusal(file, ErrorCode::cannotRead, std::move(*failed));
    return cells;
}

Result<Grid<float>> readRaster(const fs::path& file, int epsg, bool heights) {
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
                heights
                    ? CORE_TEXT("This is not a GeoTIFF that can be read. Convert the terrain to GeoTIFF.")
                    : CORE_TEXT("This is not a GeoTIFF that can be read. Convert the raster to GeoTIFF."));
        const Result<Shape> shape = shapeOf(file, data.get());
        if (!shape) return shape.error();
        if (const auto problem = systemProblem(data.get(), epsg))
            return refusal(file, ErrorCode::badInput, *problem);
        return readBand(file, data.get(), *shape, heights);
    } catch (const std::bad_alloc&) {
        return refusal(file, ErrorCode::cannotRead,
                       CORE_TEXT("There is not enough memory for this raster. Cut it to the area of work."));
    }
}

bool onTileSteps(const Grid<float>& g) {
    const double perTile = kTileM / g.cellM, x = g.x0 / g.cellM, y = g.y0 / g.cellM;
    return g.cellM >= 4 && perTile == std::floor(perTile) && x == std::floor(x) && y == std::floor(y);
}

} // namespace

Result<Terrain> readTerrain(const fs::path& file, int epsg) {
    auto heights = readRaster(file, epsg, true);
    if (!heights) return heights.error();
    if (const auto problem = gapProblem(*heights)) return refusal(file, ErrorCode::badInput, *problem);
    fillGaps(*heights);
    Terrain t;
    t.heights = std::move(*heights);
    return t;
}

Result<DemandGrid> readDemand(const fs::path& file, int epsg) {
    auto cells = readRaster(file, epsg, false);
    if (!cells) return cells;
    if (!onTileSteps(*cells))
        return refusal(
            file, ErrorCode::badInput,
            fmt::format(CORE_TEXT("The demand raster has cells of {} m. They must have a side of 4 m "
                                  "or more that divides 512 m, and stand on multiples of it."),
                        cells->cellM));
    double sum = 0;
    std::size_t held = 0;
    for (float& v : cells->cells) {
        if (!(v > 0)) v = 0; // nobody, and no data
        sum += v;
        held += v > 0;
    }
    if (held == 0)
        return refusal(file, ErrorCode::badInput,
                       CORE_TEXT("No cell of the demand raster holds any demand."));
    const double mean = sum / static_cast<double>(held);
    for (float& v : cells->cells) v = static_cast<float>(v / mean);
    return cells;
}

Result<ClassGrid> readLandCover(const fs::path& file, int epsg) {
    const auto cells = readRaster(file, epsg, false);
    if (!cells) return cells.error();
    ClassGrid out(cells->x0, cells->y0, cells->cellM, cells->width, cells->height, -1);
    for (std::size_t k = 0; k < out.cells.size(); ++k) {
        const float v = cells->cells[k];
        if (std::isnan(v)) continue;
        if (v != std::floor(v) || v < 0 || v > 65535)
            return refusal(
                file, ErrorCode::badInput,
                fmt::format(CORE_TEXT("The land-cover raster holds {}; classes are whole numbers from "
                                      "0 to 65535."),
                            v));
        out.cells[k] = static_cast<std::int32_t>(v);
    }
    return out;
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
