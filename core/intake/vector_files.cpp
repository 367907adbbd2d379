// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/vector_files.h"

#include "base/text.h"
#include "intake/gdal_scope.h"
#include "intake/left_behind.h"
#include "intake/ogr_row.h"

#include <cpl_conv.h>
#include <cpl_string.h>
#include <cpl_vsi.h>
#include <fmt/format.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <string_view>

namespace fw {
namespace {

// What of an OSM extract becomes a row of which layer, and which tags become columns (with their own names).
// All else of a row's tags stands in other_tags. The longest key of a closed way comes last: GDAL 3.6 looks
// at no key that is longer than the last one.
constexpr const char* kOsmColumns = R"(
closed_ways_are_polygons=aeroway,amenity,building,craft,historic,landuse,leisure,man_made,natural,office,place,shop,tourism,building:part
attribute_name_laundering=no
[points]
osm_id=yes
attributes=name,ref,natural,power,height,operator,voltage,highway,man_made,amenity,barrier,leaf_type,diameter_crown,location,telecom
unsignificant=created_by,converted_by,source,time,ele,attribution
ignore=created_by,converted_by,source,note,fixme
[lines]
osm_id=yes
attributes=name,ref,highway,power,voltage,cables,height,location,telecom,communication,railway,waterway,barrier,natural,width,layer,bridge,tunnel
ignore=created_by,converted_by,source,note,fixme
[multipolygons]
osm_id=yes
attributes=name,building,building:part,building:levels,height,min_height,roof:height,roof:levels,roof:shape,amenity,landuse,leisure,natural,man_made,shop,office,place
ignore=created_by,converted_by,source,note,fixme
[multilinestrings]
osm_id=yes
attributes=name,type,route
ignore=created_by,converted_by,source,note,fixme
[other_relations]
osm_id=yes
attributes=name,type
ignore=created_by,converted_by,source,note,fixme
)";

const char* osmConfiguration() {
    static const char* const path = [] {
        constexpr const char* kPath = "/vsimem/fringewright/osm_columns.ini";
        const std::string_view text = kOsmColumns;
        VSILFILE* out = VSIFOpenL(kPath, "wb");
        if (out) {
            VSIFWriteL(text.data(), 1, text.size(), out);
            VSIFCloseL(out);
        }
        return kPath;
    }();
    return path;
}

struct Way {
    std::vector<const char*> drivers;
    std::vector<std::string> options = {};
};

Way wayOf(FileFormat format) {
    switch (format) {
    case FileFormat::shapefile:
    case FileFormat::zippedShapefile:
        return {{"ESRI Shapefile"}, {"AUTO_REPACK=NO"}};
    case FileFormat::flatGeobuf:
        return {{"FlatGeobuf"}, {"VERIFY_BUFFERS=YES"}};
    case FileFormat::kml:
    case FileFormat::kmz:
        return {{"LIBKML"}};
    case FileFormat::gml:
        return {{"GML"}, {"WRITE_GFS=NO", "DOWNLOAD_SCHEMA=NO", "EXPOSE_FID=NO", "FORCE_SRS_DETECTION=YES"}};
    case FileFormat::osmXml:
    case FileFormat::osmPbf:
        return {{"OSM"}, {fmt::format("CONFIG_FILE={}", osmConfiguration()), "INTERLEAVED_READING=YES"}};
    case FileFormat::xlsx:
        return {{"XLSX"}};
    case FileFormat::geoJson:
        return {{"GeoJSON", "GeoJSONSeq"}};
    default:
        return {{"GPKG"}};
    }
}

bool readWholeToOpen(FileFormat format) {
    return format == FileFormat::gml || format == FileFormat::kml || format == FileFormat::kmz ||
           format == FileFormat::xlsx;
}

/// Paths as the library wants them: the file, or the files in the archive.
std::vector<std::string> pathsOf(const AdmittedFile& file, std::vector<LoneFile>& alone) {
    std::string whole = file.whole.string();
    if (readWholeToOpen(file.format)) whole = alone.emplace_back(file.whole).path();
    if (file.members.empty()) return {whole};
    std::vector<std::string> paths;
    paths.reserve(file.members.size());
    for (const std::string& member : file.members)
        paths.push_back(fmt::format("/vsizip/{{{}}}/{}", whole, member));
    return paths;
}

Error cannotRead(const AdmittedFile& file) {
    const std::string said = GdalScope::lastMessage();
    return {ErrorCode::cannotRead,
            fmt::format(CORE_TEXT("This looks like {} but cannot be read as such{}. Export it again, or as "
                                  "GeoPackage."),
                        nameOf(file.format), said.empty() ? "" : " (" + said + ")"),
            file.whole.string()};
}

/// Two documents of an archive may call their layers alike.
std::string nameIn(const VectorFiles& opened, OGRLayer& layer) {
    const std::string name = cleanText(layer.GetName());
    std::string free = name;
    for (int k = 2; std::any_of(opened.layers.begin(), opened.layers.end(),
                                [&](const VectorFiles::Layer& l) { return l.name == free; });
         ++k)
        free = fmt::format("{} ({})", name, k);
    return free;
}

Error stoppedReading(const AdmittedFile& file) {
    return {ErrorCode::cancelled, CORE_TEXT("Reading was stopped."), file.whole.string()};
}

Result<VectorFiles> openHere(const AdmittedFile& file, SheetHeads heads, const Job& job) {
    const LoneReadsUntil stop(job.stop);
    Way way = wayOf(file.format);
    way.drivers.push_back(nullptr);
    CPLStringList options;
    for (const std::string& option : way.options) options.AddString(option.c_str());
    const CPLConfigOptionSetter sheetHeads("OGR_XLSX_HEADERS",
                                           heads == SheetHeads::firstRow ? "FORCE" : "DISABLE", false);
    const char* noSiblings[] = {nullptr};
    VectorFiles opened;
    for (const std::string& path : pathsOf(file, opened.alone)) {
        CPLErrorReset();
        std::unique_ptr<GDALDataset, CloseVectors> data(GDALDataset::Open(
            path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, way.drivers.data(), options.List(), noSiblings));
        if (!data) return job.stopped() ? stoppedReading(file) : cannotRead(file);
        for (OGRLayer* layer : data->GetLayers()) {
            // Sheets are read when they are first asked for anything, and by the setting of that moment.
            if (file.format == FileFormat::xlsx) layer->GetFeatureCount();
            opened.layers.push_back({data.get(), layer, nameIn(opened, *layer)});
        }
        opened.sets.push_back(std::move(data));
    }
    if (job.stopped()) return stoppedReading(file); // what was read so far may be a part
    if (opened.layers.empty())
        return Error{ErrorCode::badInput, CORE_TEXT("The file has no layer with rows."), file.whole.string()};
    return opened;
}

} // namespace

void CloseVectors::operator()(GDALDataset* data) const {
    const GdalQuiet quiet;
    GDALClose(data);
}

Result<VectorFiles> openVectorFiles(const AdmittedFile& file, SheetHeads heads, const Job& job) {
    if (!readWholeToOpen(file.format)) return openHere(file, heads, job);
    auto opened = valueUnlessStopped<Result<VectorFiles>>(job, [file, heads, job] {
        const GdalScope scope; // its settings are a thread's own
        return openHere(file, heads, job);
    });
    if (!opened) return stoppedReading(file);
    return std::move(*opened);
}

} // namespace fw
