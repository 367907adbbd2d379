// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/source_system.h"

#include "base/text.h"
#include "intake/gdal_scope.h"
#include "intake/source.h"

#include <cpl_conv.h>
#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <charconv>
#include <cstring>
#include <memory>

namespace fw {
namespace {

std::string wktOf(const OGRSpatialReference& system) {
    const char* options[] = {"FORMAT=WKT2_2019", nullptr};
    char* text = nullptr;
    std::string wkt;
    if (system.exportToWkt(&text, options) == OGRERR_NONE && text) wkt = text;
    CPLFree(text);
    return wkt;
}

int codeOf(const OGRSpatialReference& system) {
    const char* authority = system.GetAuthorityName(nullptr);
    const char* code = system.GetAuthorityCode(nullptr);
    if (!authority || !code) return 0;
    if (std::strcmp(authority, "OGC") == 0 && std::strcmp(code, "CRS84") == 0) return 4326;
    int epsg = 0;
    if (std::strcmp(authority, "EPSG") == 0) std::from_chars(code, code + std::strlen(code), epsg);
    return epsg;
}

int recognised(const OGRSpatialReference& system) {
    if (const int code = codeOf(system)) return code;
    constexpr int kSure = 90;
    const std::unique_ptr<OGRSpatialReference, void (*)(OGRSpatialReference*)> match(
        system.FindBestMatch(kSure), [](OGRSpatialReference* s) { s->Release(); });
    return match ? codeOf(*match) : 0;
}

void dropHeights(OGRSpatialReference& system, FoundSystem& found) {
    if (system.IsCompound()) {
        const char* vertical = system.GetAttrValue("COMPD_CS|VERT_CS");
        found.notes.push_back(
            fmt::format(CORE_TEXT("The heights of its coordinate system (\"{}\") are left out."),
                        vertical ? vertical : "unnamed"));
        system.StripVertical();
    } else if (system.GetAxesCount() > 2) {
        system.DemoteTo2D(nullptr);
    }
}

} // namespace

FoundSystem systemFrom(const OGRSpatialReference* stored) {
    FoundSystem found;
    if (!stored || stored->IsEmpty()) return found;
    const GdalScope scope;
    OGRSpatialReference system(*stored);
    dropHeights(system, found);
    if (!system.IsGeographic() && !system.IsProjected()) {
        const char* name = system.GetName();
        found.notes.push_back(fmt::format(
            CORE_TEXT("Its coordinate system (\"{}\") has no place on Earth. Name the one that is meant."),
            name ? name : "unnamed"));
        return found;
    }
    found.epsg = recognised(system);
    found.wkt = wktOf(system);
    if (const char* name = system.GetName()) found.name = name;
    return found;
}

FoundSystem systemFromCode(int epsg) {
    const GdalScope scope;
    OGRSpatialReference system;
    if (system.importFromEPSG(epsg) == OGRERR_NONE) return systemFrom(&system);
    FoundSystem found;
    found.notes.push_back(fmt::format(CORE_TEXT("It names EPSG:{}, which is no code of the registry. Name "
                                                "the coordinate system that is meant."),
                                      epsg));
    return found;
}

FoundSystem systemFromWkt(const std::string& wkt) {
    const GdalScope scope;
    OGRSpatialReference system;
    const char* text = wkt.c_str();
    if (system.importFromWkt(&text) == OGRERR_NONE) return systemFrom(&system);
    FoundSystem found;
    found.notes.emplace_back(CORE_TEXT("Its coordinate system is described in words that cannot be read. "
                                       "Name the one that is meant."));
    return found;
}

bool northFirst(const OGRSpatialReference* stored) {
    if (!stored || stored->IsEmpty()) return false;
    OGRSpatialReference usual(*stored);
    usual.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    const auto &is = stored->GetDataAxisToSRSAxisMapping(), &should = usual.GetDataAxisToSRSAxisMapping();
    return is.size() >= 2 && should.size() >= 2 && is[0] == should[1] && is[1] == should[0];
}

void putInto(SourceHead& head, FoundSystem system) {
    head.epsg = system.epsg;
    head.wkt = std::move(system.wkt);
    head.crsName = std::move(system.name);
    for (std::string& note : system.notes) head.notes.push_back(std::move(note));
}

} // namespace fw
