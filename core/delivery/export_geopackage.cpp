// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/export_works.h"

#include "base/log_exp.h"
#include "geo/frame.h"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <gdal.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>

#include <fmt/format.h>

#include <cstdlib>
#include <memory>

namespace fw {

namespace {

struct CloseDataset {
    void operator()(void* d) const { GDALClose(d); }
};
struct FreeFeature {
    void operator()(void* f) const { OGR_F_Destroy(f); }
};
struct FreeReference {
    void operator()(void* s) const { OSRRelease(s); }
};
using Dataset = std::unique_ptr<void, CloseDataset>;
using Feature = std::unique_ptr<void, FreeFeature>;
using SpatialReference = std::unique_ptr<void, FreeReference>;

// GDAL stamps the day it writes; for this thread and this file it is the plan's day.
class StampedDate {
public:
    explicit StampedDate(const std::string& date) {
        CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", (date + "T00:00:00.000Z").c_str());
    }
    ~StampedDate() { CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", nullptr); }
    StampedDate(const StampedDate&) = delete;
    StampedDate& operator=(const StampedDate&) = delete;
};

// Failures travel as sentences, not to the terminal.
class QuietErrors {
public:
    QuietErrors() { CPLPushErrorHandler(CPLQuietErrorHandler); }
    ~QuietErrors() { CPLPopErrorHandler(); }
    QuietErrors(const QuietErrors&) = delete;
    QuietErrors& operator=(const QuietErrors&) = delete;
};

bool addFields(OGRLayerH layer) {
    for (const WorksColumn& c : worksColumns()) {
        OGRFieldDefnH field = OGR_Fld_Create(c.key.c_str(), c.whole    ? OFTInteger
                                                            : c.number ? OFTReal
                                                                       : OFTString);
        OGR_Fld_SetAlternativeName(field, c.head.c_str());
        const bool ok = OGR_L_CreateField(layer, field, FALSE) == OGRERR_NONE;
        OGR_Fld_Destroy(field);
        if (!ok) return false;
    }
    return true;
}

bool addRow(OGRLayerH layer, const WorksRow& w, bool line) {
    const Feature f(OGR_F_Create(OGR_L_GetLayerDefn(layer)));
    const auto values = worksValues(w);
    for (std::size_t i = 0; i < values.size(); ++i) {
        const int k = static_cast<int>(i);
        if (values[i].text.empty())
            OGR_F_SetFieldNull(f.get(), k);
        else
            OGR_F_SetFieldString(f.get(), k, values[i].text.c_str());
    }
    OGRGeometryH g = OGR_G_CreateGeometry(line ? wkbLineString25D : wkbPoint25D);
    const double z = w.groundAmsl + w.heightAgl;
    OGR_G_AddPoint(g, w.plane.x, w.plane.y, z);
    if (line) {
        const auto frame = Frame::fromEpsg(w.epsg);
        const double reach = kBoresightM * (frame ? frame->scale(w.plane) : 1.0);
        const SinCos a = sinCosDegFixed(w.azimuthGridDeg);
        OGR_G_AddPoint(g, w.plane.x + reach * a.sin, w.plane.y + reach * a.cos, z);
    }
    const bool ok = OGR_F_SetGeometryDirectly(f.get(), g) == OGRERR_NONE;
    return ok && OGR_L_CreateFeature(layer, f.get()) == OGRERR_NONE;
}

bool addLayer(GDALDatasetH d, const char* name, OGRSpatialReferenceH srs, const std::vector<WorksRow>& rows,
              bool line) {
    OGRLayerH layer = GDALDatasetCreateLayer(d, name, srs, line ? wkbLineString25D : wkbPoint25D, nullptr);
    if (!layer || !addFields(layer)) return false;
    for (const WorksRow& w : rows)
        if (!addRow(layer, w, line)) return false;
    return true;
}

Error refused(const std::filesystem::path& file, const std::string& why) {
    return {ErrorCode::cannotWrite, "The GeoPackage cannot be written: " + why, file.string()};
}

} // namespace

Status writeWorksGeoPackage(const std::filesystem::path& file, const std::vector<WorksRow>& rows) {
    if (rows.empty()) return refused(file, "there is no radio to write.");
    for (const WorksRow& w : rows)
        if (w.epsg != rows.front().epsg) return refused(file, "its radios are in different grid systems.");
    GDALAllRegister();
    const SpatialReference srs(OSRNewSpatialReference(nullptr));
    if (OSRImportFromEPSG(srs.get(), rows.front().epsg) != OGRERR_NONE)
        return refused(file, fmt::format("EPSG:{} is not known.", rows.front().epsg));
    // The geometry is written east first, whatever the axes of the system say.
    OSRSetAxisMappingStrategy(srs.get(), OAMS_TRADITIONAL_GIS_ORDER);
    std::filesystem::path beside = file;
    beside += ".part.gpkg";
    std::error_code ec;
    std::filesystem::remove(beside, ec);
    const QuietErrors quiet;
    const StampedDate stamp(rows.front().date);
    GDALDriverH driver = GDALGetDriverByName("GPKG");
    if (!driver) return refused(file, "this build of GDAL has no GeoPackage.");
    bool ok = false;
    {
        CPLErrorReset();
        Dataset d(GDALCreate(driver, beside.string().c_str(), 0, 0, 0, GDT_Unknown, nullptr));
        ok = d && addLayer(d.get(), "radios", srs.get(), rows, false) &&
             addLayer(d.get(), "boresights", srs.get(), rows, true);
        if (d) GDALFlushCache(d.get());
        ok = ok && CPLGetLastErrorType() < CE_Failure;
    }
    if (ok) std::filesystem::rename(beside, file, ec);
    if (ok && !ec) return Done{};
    const std::string why = ec ? ec.message() : CPLGetLastErrorMsg();
    std::filesystem::remove(beside, ec);
    return refused(file, why.empty() ? "check the folder, its rights and the space left." : why);
}

} // namespace fw
