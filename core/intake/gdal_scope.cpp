// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/gdal_scope.h"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <gdal_frmts.h>
#include <ogr_srs_api.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <filesystem>

namespace fw {
namespace {

// Only what intake/file_gate.h admits: no driver that is not there can be talked into anything.
bool registerDrivers() {
    RegisterOGRShape();
    RegisterOGRFlatGeobuf();
    RegisterOGRLIBKML();
    RegisterOGRGML();
    RegisterOGROSM();
    RegisterOGRXLSX();
    RegisterOGRGeoJSON();
    RegisterOGRGeoJSONSeq();
    RegisterOGRGeoPackage();
    RegisterOGRMEM();
    GDALRegister_GTiff();
    GDALRegister_AAIGrid();
    GDALRegister_SRTMHGT();
    GDALRegister_DTED();
    GDALRegister_MEM();
    GDALRegister_PNG(); // tiles of a background map
    GDALRegister_JPEG();
    GDALRegister_WEBP();
    OSRSetPROJEnableNetwork(0); // no grids from a server
    return true;
}

} // namespace

GdalScope::GdalScope() {
    static const bool once = registerDrivers();
    (void)once;
    CPLPushErrorHandler(CPLQuietErrorHandler);
    CPLErrorReset();
    set("GDAL_PAM_ENABLED", "NO"); // side files can name other files
    set("GDAL_DISABLE_READDIR_ON_OPEN", "EMPTY_DIR");
    set("CPL_VSIL_CURL_ALLOWED_FILENAME", "none");
    set("GML_PARSER", "EXPAT"); // fetches no external entity
    set("GML_SKIP_RESOLVE_ELEMS", "ALL");
    set("GML_DOWNLOAD_WFS_SCHEMA", "NO");
    set("SHAPE_RESTORE_SHX", "NO");
    set("LIBKML_RESOLVE_STYLE", "NO");
    set("LIBKML_READ_GROUND_OVERLAY", "NO");
    std::error_code failed;
    const auto temporary = std::filesystem::temp_directory_path(failed);
    if (!failed) set("CPL_TMPDIR", temporary.c_str()); // else large extracts spill where the program stands
}

GdalScope::~GdalScope() {
    for (auto before = m_before.rbegin(); before != m_before.rend(); ++before)
        CPLSetThreadLocalConfigOption(before->first.c_str(),
                                      before->second.first ? before->second.second.c_str() : nullptr);
    CPLPopErrorHandler();
}

GdalQuiet::GdalQuiet() { CPLPushErrorHandler(CPLQuietErrorHandler); }
GdalQuiet::~GdalQuiet() { CPLPopErrorHandler(); }

void GdalScope::set(const char* key, const char* value) {
    const char* was = CPLGetThreadLocalConfigOption(key, nullptr);
    m_before.emplace_back(key, std::pair{was != nullptr, std::string(was ? was : "")});
    CPLSetThreadLocalConfigOption(key, value);
}

std::string GdalScope::lastMessage() {
    std::string said = CPLGetLastErrorMsg();
    std::replace(said.begin(), said.end(), '\n', ' ');
    constexpr std::size_t kMost = 200;
    if (said.size() > kMost) said = said.substr(0, kMost) + "...";
    return said;
}

} // namespace fw
