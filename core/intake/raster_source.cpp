// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/raster_source.h"

#include "base/text.h"
#include "base/units.h"
#include "intake/gdal_scope.h"
#include "intake/raster_file.h"
#include "intake/source_system.h"

#include <fmt/format.h>
#include <gdal_priv.h>
#include <gdal_rat.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>

namespace fw {
namespace {

/// Metres in a unit of heights as files write it; nothing where it is none that is known.
std::optional<double> metresIn(std::string unit) {
    std::transform(unit.begin(), unit.end(), unit.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    constexpr std::array<const char*, 6> kMetres{"m", "metre", "meter", "metres", "meters", "[m]"};
    constexpr std::array<const char*, 6> kFeet{"ft", "foot", "feet", "international foot", "[ft]", "ft_int"};
    constexpr std::array<const char*, 6> kSurveyFeet{"us survey foot", "us-ft",   "ftus",
                                                     "foot_us",        "[ft_us]", "us survey feet"};
    const auto among = [&](const auto& names) {
        return std::find(names.begin(), names.end(), unit) != names.end();
    };
    if (among(kMetres)) return 1.0;
    if (among(kFeet)) return kFootM;
    if (among(kSurveyFeet)) return 1200.0 / 3937.0;
    return std::nullopt;
}

/// The unit of the vertical part of a compound system; empty when there is none.
std::string verticalUnit(const OGRSpatialReference* system) {
    if (!system || !system->IsCompound()) return {};
    const char* name = nullptr;
    OGRSpatialReference copy(*system);
    copy.GetTargetLinearUnits("VERT_CS", &name);
    return name ? name : "";
}

void readUnit(const OpenedRaster& raster, RasterHead& head) {
    head.unit = raster.band().GetUnitType();
    if (head.unit.empty()) head.unit = verticalUnit(raster.data->GetSpatialRef());
    if (head.unit.empty()) return;
    const auto metres = metresIn(head.unit);
    if (!metres)
        head.unitNote = fmt::format(CORE_TEXT("Its values are in \"{}\", which is no unit of height that "
                                              "is known; they are taken as metres."),
                                    head.unit);
    else if (*metres != 1)
        head.unitNote = fmt::format(CORE_TEXT("Its values are in {}; they become metres."), head.unit);
    head.metresPerUnit = metres.value_or(1);
}

// What producers write where they have no data, whether they declare it or not.
constexpr std::array kFillers{-9999.0, -32768.0, -32767.0, -99999.0, -3.4028234663852886e38};

constexpr std::size_t kMostClasses = 256;

struct Values {
    std::map<std::int32_t, std::int64_t> classes;
    bool classed = true; // as far as looked at
    double least = std::numeric_limits<double>::infinity(), most = -least;
    std::int64_t cells = 0, empty = 0;
    void add(double v, const std::optional<double>& filler) {
        ++cells;
        if (!std::isfinite(v) || (filler && static_cast<float>(v) == static_cast<float>(*filler))) {
            ++empty;
            return;
        }
        least = std::min(least, v);
        most = std::max(most, v);
        classed = classed && v == std::floor(v) && v >= 0 && v <= 65535;
        if (classed) ++classes[static_cast<std::int32_t>(v)];
        classed = classed && classes.size() <= kMostClasses;
    }
};

/// Rows and columns evenly spread, so that at most some four million cells are looked at.
Result<Values> lookAtCells(const OpenedRaster& raster, const std::optional<double>& filler, bool& sampled,
                           const Job& job) {
    GDALRasterBand& band = raster.band();
    const int width = band.GetXSize(), height = band.GetYSize();
    constexpr double kMost = 4e6;
    const double share = std::min(1.0, std::sqrt(kMost / (double{1} * width * height)));
    const int columns = std::max(1, static_cast<int>(width * share));
    const int rows = std::max(1, static_cast<int>(height * share));
    sampled = columns < width || rows < height;
    std::vector<double> line(static_cast<std::size_t>(columns));
    Values values;
    for (int r = 0; r < rows; ++r) {
        if (job.stopped())
            return Error{ErrorCode::cancelled, CORE_TEXT("Reading was stopped."), raster.whole.string()};
        const int at = static_cast<int>(std::int64_t{r} * height / rows);
        if (band.RasterIO(GF_Read, 0, at, width, 1, line.data(), columns, 1, GDT_Float64, 0, 0, nullptr) !=
            CE_None)
            return Error{ErrorCode::damaged,
                         fmt::format(CORE_TEXT("Row {} of the raster cannot be read: {}. Export it again."),
                                     at, GdalScope::lastMessage()),
                         raster.whole.string()};
        for (const double v : line) values.add(v, filler);
        job.report(double{1} * r / rows, CORE_TEXT("Looking at the raster"));
    }
    return values;
}

void noteValues(RasterHead& head, const Values& values) {
    head.emptyShare =
        values.cells > 0 ? static_cast<double>(values.empty) / static_cast<double>(values.cells) : 1;
    if (values.empty == values.cells) {
        head.notes.emplace_back(CORE_TEXT("No cell of it has data."));
        return;
    }
    head.least = values.least;
    head.most = values.most;
    head.classShares.clear();
    if (values.classed)
        for (const auto& [cls, n] : values.classes)
            head.classShares[cls] = static_cast<double>(n) / static_cast<double>(values.cells - values.empty);
}

// What the file calls its classes: by their numbers' order, or in a table of its own.
void readClassNames(const OpenedRaster& raster, RasterHead& head) {
    GDALRasterBand& band = raster.band();
    const auto keep = [&](std::int32_t cls, const char* name) {
        if (name && *name && head.classShares.count(cls))
            head.classNames[cls] = std::string(name).substr(0, 80);
    };
    if (char** names = band.GetCategoryNames())
        for (int k = 0; names[k]; ++k) keep(k, names[k]);
    const GDALRasterAttributeTable* table = band.GetDefaultRAT();
    if (!table) return;
    const int value = table->GetColOfUsage(GFU_MinMax), name = table->GetColOfUsage(GFU_Name);
    if (value < 0 || name < 0) return;
    for (int r = 0; r < std::min(table->GetRowCount(), 65536); ++r)
        keep(table->GetValueAsInt(r, value), table->GetValueAsString(r, name));
}

} // namespace

Result<RasterHead> lookAtRaster(const std::filesystem::path& file, const Job& job) {
    const GdalScope scope;
    const auto raster = openRaster(file);
    if (!raster) return raster.error();
    GDALRasterBand& band = raster->band();
    RasterHead head;
    head.file = raster->whole;
    head.format = nameOf(raster->format);
    head.width = band.GetXSize();
    head.height = band.GetYSize();
    head.bands = raster->data->GetRasterCount();
    const auto& p = raster->place;
    head.cellX = std::hypot(p[1], p[4]);
    head.cellY = std::hypot(p[2], p[5]);
    const FoundSystem system = systemFrom(raster->data->GetSpatialRef());
    head.system = {system.epsg, system.wkt};
    head.crsName = system.name;
    head.notes = system.notes;
    if (!head.system.known())
        head.notes.emplace_back(CORE_TEXT("It does not say which coordinate system it is in."));
    readUnit(*raster, head);
    int declared = 0;
    const double filler = band.GetNoDataValue(&declared);
    if (declared) head.filler = filler;
    auto values = lookAtCells(*raster, head.filler, head.sampled, job);
    if (!values) return values.error();
    if (!declared && std::find(kFillers.begin(), kFillers.end(), values->least) != kFillers.end()) {
        head.filler = values->least;
        head.notes.push_back(fmt::format(CORE_TEXT("It declares no value for cells without data; {} is taken "
                                                   "for it."),
                                         *head.filler));
        values = lookAtCells(*raster, head.filler, head.sampled, job);
        if (!values) return values.error();
    }
    noteValues(head, *values);
    readClassNames(*raster, head);
    if (head.bands > 1)
        head.notes.push_back(fmt::format(CORE_TEXT("It has {} bands; the first one is read."), head.bands));
    return head;
}

Result<RasterPlace> placeOf(const RasterHead& head, const SourceSystem& system, const Frame& plan) {
    const auto reader = PlaceReader::open(system, plan);
    if (!reader) return reader.error();
    const GdalScope scope;
    const auto raster = openRaster(head.file);
    if (!raster) return raster.error();
    const auto& p = raster->place;
    const auto at = [&](double column, double row) {
        return PlanePoint{p[0] + column * p[1] + row * p[2], p[3] + column * p[4] + row * p[5]};
    };
    RasterPlace place;
    constexpr int kSteps = 20;
    for (int i = 0; i <= kSteps; ++i)
        for (int k = 0; k <= kSteps; ++k) {
            std::vector<PlanePoint> one{
                at(double{1} * head.width * i / kSteps, double{1} * head.height * k / kSteps)};
            if (reader->toPlan(one)) place.extent.add(one[0]);
        }
    const double column = std::floor(head.width / 2.0), row = std::floor(head.height / 2.0);
    std::vector<PlanePoint> cell{at(column, row), at(column + 1, row), at(column, row + 1)};
    if (place.extent.empty() || !reader->toPlan(cell))
        return Error{ErrorCode::badInput,
                     fmt::format(CORE_TEXT("The raster lies outside what {} can show. Look whether its "
                                           "coordinate system is the one that is named."),
                                 plan.name()),
                     head.file.string()};
    place.cellM = std::sqrt(std::fabs(cross(cell[1] - cell[0], cell[2] - cell[0])));
    return place;
}

} // namespace fw
