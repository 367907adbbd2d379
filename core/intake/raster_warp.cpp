// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "intake/gdal_scope.h"
#include "intake/raster_file.h"
#include "intake/raster_source.h"

#include <cpl_string.h>
#include <fmt/format.h>
#include <gdal_priv.h>
#include <gdal_utils.h>
#include <ogr_spatialref.h>
#include <unistd.h>

#include <cmath>
#include <limits>

namespace fw {
namespace {

namespace fs = std::filesystem;

constexpr double kNoData = -9999;

Error stopped(const fs::path& file) {
    return {ErrorCode::cancelled, CORE_TEXT("Reading was stopped."), file.string()};
}

/// The new cells: whole ones, counted from the origin of the plan's system.
struct Target {
    double x0 = 0, yTop = 0, cellM = 0;
    int width = 0, height = 0;
};

Result<Target> targetOf(const WarpRequest& request, const fs::path& file) {
    const Box& e = request.extent;
    const double cell = request.cellM;
    if (e.empty() || !(cell > 0) || !std::isfinite(cell + e.x0 + e.x1 + e.y0 + e.y1))
        return Error{ErrorCode::badInput, CORE_TEXT("The area to fill has no size."), file.string()};
    const double c0 = std::floor(e.x0 / cell), c1 = std::ceil(e.x1 / cell);
    const double r0 = std::floor(e.y0 / cell), r1 = std::ceil(e.y1 / cell);
    constexpr double kMostCells = 120e6; // what surface/raster_io reads
    if ((c1 - c0) * (r1 - r0) > kMostCells)
        return Error{
            ErrorCode::badInput,
            fmt::format(CORE_TEXT("At {} m the area has {:.0f} x {:.0f} cells, more than 120 million. "
                                  "Take larger cells or a smaller area."),
                        cell, c1 - c0, r1 - r0),
            file.string()};
    return Target{c0 * cell, r1 * cell, cell, std::max(1, static_cast<int>(c1 - c0)),
                  std::max(1, static_cast<int>(r1 - r0))};
}

const char* methodOf(RasterUse use) {
    return use == RasterUse::height ? "bilinear" : use == RasterUse::demand ? "sum" : "near";
}

GDALDataType typeOf(RasterUse use, GDALRasterBand& band) {
    if (use != RasterUse::landCover) return GDT_Float32;
    return GDALGetDataTypeSizeBits(band.GetRasterDataType()) <= 16 ? GDT_Int32 : GDT_Float32;
}

struct EndOptions {
    void operator()(GDALWarpAppOptions* o) const { GDALWarpAppOptionsFree(o); }
};

/// Warps strips of the target one by one, so that little is held and a stop is heard soon.
class Warp {
public:
    Warp(const OpenedRaster& from, const Frame& plan, const WarpRequest& request, const Target& target,
         std::optional<double> filler)
        : m_from(from), m_request(request), m_target(target), m_filler(filler),
          m_plan(fmt::format("EPSG:{}", plan.epsg())),
          m_system(request.system.epsg != 0 ? fmt::format("EPSG:{}", request.system.epsg)
                                            : request.system.wkt) {}

    /// Values of rows from `top` on; empty when it failed.
    std::vector<float> strip(int top, int rows, const Job& job) {
        const double yTop = m_target.yTop - top * m_target.cellM;
        CPLStringList words;
        const auto add = [&](std::initializer_list<std::string> all) {
            for (const std::string& word : all) words.AddString(word.c_str());
        };
        add({"-of", "MEM", "-ot", "Float64", "-r", methodOf(m_request.use), "-s_srs", m_system, "-t_srs",
             m_plan});
        add({"-te", fmt::format("{}", m_target.x0), fmt::format("{}", yTop - rows * m_target.cellM),
             fmt::format("{}", m_target.x0 + m_target.width * m_target.cellM), fmt::format("{}", yTop)});
        add({"-ts", fmt::format("{}", m_target.width), fmt::format("{}", rows), "-dstnodata", "nan"});
        add({"-et", "0.05", "-wm", "32", "-ovr", "NONE", "-novshift", "-to", "ALLOW_BALLPARK=NO",
             "-nosrcalpha"});
        if (m_filler) add({"-srcnodata", fmt::format("{}", *m_filler)});
        const std::unique_ptr<GDALWarpAppOptions, EndOptions> options(
            GDALWarpAppOptionsNew(words.List(), nullptr));
        if (!options) return {};
        GDALWarpAppOptionsSetProgress(
            options.get(),
            [](double, const char*, void* j) { return static_cast<const Job*>(j)->stopped() ? FALSE : TRUE; },
            const_cast<Job*>(&job));
        GDALDatasetH source = m_from.data.get();
        const RasterFile warped(
            static_cast<GDALDataset*>(GDALWarp("", nullptr, 1, &source, options.get(), nullptr)));
        std::vector<double> cells(static_cast<std::size_t>(m_target.width) * static_cast<std::size_t>(rows));
        if (!warped ||
            warped->GetRasterBand(1)->RasterIO(GF_Read, 0, 0, m_target.width, rows, cells.data(),
                                               m_target.width, rows, GDT_Float64, 0, 0, nullptr) != CE_None)
            return {};
        return inTargetUnit(cells);
    }
    [[nodiscard]] bool foundData() const { return m_foundData; }

private:
    std::vector<float> inTargetUnit(const std::vector<double>& cells) {
        std::vector<float> out;
        out.reserve(cells.size());
        for (const double v : cells) {
            m_foundData = m_foundData || std::isfinite(v);
            out.push_back(static_cast<float>(std::isfinite(v) ? v * m_request.factor : kNoData));
        }
        return out;
    }

    const OpenedRaster& m_from;
    const WarpRequest& m_request;
    Target m_target;
    std::optional<double> m_filler;
    std::string m_plan, m_system;
    bool m_foundData = false;
};

/// A file that is gone with the object unless it has been given its name.
class PartFile {
public:
    explicit PartFile(const fs::path& out) : m_out(out), m_part(out) {
        m_part.replace_filename(fmt::format(".{}.{}.part.tif", out.filename().string(), getpid()));
    }
    ~PartFile() {
        std::error_code failed;
        fs::remove(m_part, failed);
    }
    PartFile(const PartFile&) = delete;
    PartFile& operator=(const PartFile&) = delete;
    [[nodiscard]] const fs::path& part() const { return m_part; }
    [[nodiscard]] bool keep() const {
        std::error_code failed;
        fs::rename(m_part, m_out, failed);
        return !failed;
    }

private:
    fs::path m_out, m_part;
};

RasterFile createOut(const fs::path& part, const Target& target, const Frame& plan, GDALDataType type) {
    CPLStringList options;
    options.SetNameValue("COMPRESS", "DEFLATE");
    options.SetNameValue("PREDICTOR", type == GDT_Float32 ? "3" : "2");
    options.SetNameValue("TILED", "YES");
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GTiff");
    RasterFile out(driver->Create(part.c_str(), target.width, target.height, 1, type, options.List()));
    OGRSpatialReference system;
    system.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    double place[6] = {target.x0, target.cellM, 0, target.yTop, 0, -target.cellM};
    if (!out || system.importFromEPSG(plan.epsg()) != OGRERR_NONE || out->SetGeoTransform(place) != CE_None ||
        out->SetSpatialRef(&system) != CE_None || out->GetRasterBand(1)->SetNoDataValue(kNoData) != CE_None)
        return nullptr;
    return out;
}

Error cannotWrite(const fs::path& out) {
    return {
        ErrorCode::cannotWrite,
        fmt::format(CORE_TEXT("The raster cannot be written ({}). Look whether the folder is there, may be "
                              "written, and has room."),
                    GdalScope::lastMessage()),
        out.string()};
}

Status warpInto(GDALDataset& out, Warp& warp, const Target& target, int bands, const fs::path& file,
                const fs::path& name, const Job& job) {
    constexpr int kStripCells = 1 << 20;
    const int step = std::max(1, kStripCells / target.width / bands);
    for (int top = 0; top < target.height; top += step) {
        const int rows = std::min(step, target.height - top);
        job.report(double{1} * top / target.height, CORE_TEXT("Bringing the raster into the plan"));
        CPLErrorReset();
        std::vector<float> cells = warp.strip(top, rows, job);
        if (job.stopped()) return stopped(file);
        if (cells.empty())
            return Error{ErrorCode::badInput,
                         fmt::format(CORE_TEXT("The raster cannot be brought into the plan's system: {}."),
                                     GdalScope::lastMessage()),
                         file.string()};
        if (out.GetRasterBand(1)->RasterIO(GF_Write, 0, top, target.width, rows, cells.data(), target.width,
                                           rows, GDT_Float32, 0, 0, nullptr) != CE_None)
            return cannotWrite(name);
    }
    return Done{};
}

} // namespace

Status warpToPlan(const fs::path& file, const Frame& plan, const WarpRequest& request, const fs::path& out,
                  const Job& job) {
    const auto head = lookAtRaster(file, {job.stop, {}});
    if (!head) return head.error();
    const auto place = placeOf(*head, request.system, plan);
    if (!place) return place.error();
    if (!place->extent.meets(request.extent))
        return Error{
            ErrorCode::badInput,
            CORE_TEXT("The raster does not reach the area of the plan. Look at its coordinate system, "
                      "or choose another one."),
            file.string()};
    const auto target = targetOf(request, file);
    if (!target) return target.error();
    const GdalScope scope;
    const auto raster = openRaster(file);
    if (!raster) return raster.error();
    const PartFile part(out);
    RasterFile written = createOut(part.part(), *target, plan, typeOf(request.use, raster->band()));
    if (!written) return cannotWrite(out);
    Warp warp(*raster, plan, request, *target, head->filler);
    if (Status s = warpInto(*written, warp, *target, head->bands, raster->whole, out, job); !s) return s;
    if (!warp.foundData())
        return Error{ErrorCode::badInput, CORE_TEXT("The raster has no data in the area of the plan."),
                     file.string()};
    // A full disk shows only when the last blocks go out.
    CPLErrorReset();
    written.reset();
    if (CPLGetLastErrorType() >= CE_Failure || !part.keep()) return cannotWrite(out);
    job.report(1, CORE_TEXT("Bringing the raster into the plan"));
    return Done{};
}

} // namespace fw
