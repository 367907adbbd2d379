// SPDX-License-Identifier: GPL-3.0-or-later
// No file can make a reader look beyond this machine: the kernel ends the reading process at the first
// socket.
#include "catch.h"
#include "intake/offline_child.h"
#include "intake/ogr_files.h"
#include "intake/place_reader.h"
#include "intake/source.h"
#include "intake/trap_files.h"
#include "intake/zip_bytes.h"
#include "store/folder.h"

#include <netinet/in.h>
#include <sys/socket.h>

using namespace fw;
using namespace fw::testing;
namespace fs = std::filesystem;

namespace {

constexpr const char* kServer = "http://127.0.0.1:9/";

/// Opens every layer, reads every row and brings it into a plan.
std::string reading(const fs::path& file) {
    const auto layers = layersOf(file);
    if (!layers) return layers.error().sentence();
    const auto plan = Frame::fromEpsg(32629);
    std::size_t rows = 0;
    for (const SourceLayer& layer : *layers) {
        SourceOptions options;
        options.layer = layer.name;
        const auto source = openSource(file, options);
        if (!source) return source.error().sentence();
        const SourceHead& head = (*source)->head();
        const auto reader = PlaceReader::open({head.epsg, head.wkt}, *plan);
        const Status read = (*source)->forEachRow({}, [&](SourceRow& row) {
            ++rows;
            if (reader) (void)reader->toPlan(row.shape.points);
            return true;
        });
        if (!read) return read.error().sentence();
    }
    return "rows " + std::to_string(rows);
}

std::string readOffline(const fs::path& file) {
    const Offline ran = inOfflineChild([&] { return reading(file); });
    INFO(file.filename().string() << ": " << ran.said);
    CHECK_FALSE(ran.trapped);
    CHECK(ran.ended);
    return ran.said;
}

} // namespace

TEST_CASE("the trap catches who reaches for the network", "[network]") {
    const Offline plain = inOfflineChild([] {
        (void)socket(AF_INET, SOCK_STREAM, 0);
        return std::string("got through");
    });
    CHECK(plain.trapped);
    // The reading library itself, asked outright.
    const Offline library = inOfflineChild([] {
        GDALAllRegister();
        CPLPushErrorHandler(CPLQuietErrorHandler);
        const WrittenFile data(GDALDataset::Open("/vsicurl/http://127.0.0.1:9/a.geojson"));
        return std::string("got through");
    });
    CHECK(library.trapped);
    // And it lets pass who does not.
    const Offline calm = inOfflineChild([] { return std::string("calm"); });
    CHECK(calm.ended);
    CHECK(calm.said == "calm");
}

TEST_CASE("files of every format are read without the network", "[network]") {
    GDALAllRegister();
    const TestFolder folder;
    Random random(3);
    const auto plane = randomFootprints(random, 20, {680000, 5910000}, 500, 8);
    const auto degrees = randomFootprints(random, 20, {-6.26, 53.35}, 0.01, 1e-4);
    writeFile("GPKG", folder / "a.gpkg", 32629, plane);
    writeFile("ESRI Shapefile", folder / "a.shp", 32629, plane);
    writeFile("FlatGeobuf", folder / "a.fgb", 32629, plane);
    writeFile("GML", folder / "a.gml", 32629, plane);
    writeFile("XLSX", folder / "a.xlsx", 0, plane, {}, wkbNone);
    writeFile("GeoJSON", folder / "a.geojson", 4326, degrees);
    writeFile("GeoJSONSeq", folder / "a.geojsonl", 4326, degrees);
    writeFile("LIBKML", folder / "a.kml", 4326, degrees);
    writeFile("LIBKML", folder / "a.kmz", 4326, degrees);
    for (const std::string name :
         {"a.gpkg", "a.shp", "a.fgb", "a.gml", "a.xlsx", "a.geojson", "a.geojsonl", "a.kml", "a.kmz"})
        CHECK(readOffline(folder / name) == "rows 20");
}

TEST_CASE("links in files are not followed", "[network]") {
    const TestFolder folder;
    const std::string server = kServer;

    writeBytes(folder / "link.kml",
               kmlOf("<NetworkLink><Link><href>" + server + "a.kml</href></Link></NetworkLink>" +
                     "<Style id=\"s\"><IconStyle><Icon><href>" + server +
                     "i.png</href></Icon></IconStyle></Style>" + "<Placemark><styleUrl>" + server +
                     "s.kml#s</styleUrl><name>B</name><Model><Link><href>" + server +
                     "m.dae</href></Link></Model></Placemark>" + kPlacemark));
    CHECK(readOffline(folder / "link.kml").find("rows") == 0);
    writeBytes(folder / "link.kmz",
               zipOf({{"doc.kml", kmlOf("<NetworkLink><Link><href>" + server +
                                        "a.kml</href></Link></NetworkLink>" + kPlacemark)}}));
    CHECK(readOffline(folder / "link.kmz").find("rows") == 0);

    writeBytes(folder / "schema.gml", gmlOf("http://ogr.maptools.org/ " + server + "a.xsd", kGmlPoint));
    CHECK(readOffline(folder / "schema.gml") == "rows 2");
    writeBytes(folder / "wfs.gml", gmlOf(server +
                                             "wfs?SERVICE=WFS&amp;REQUEST=DescribeFeatureType&amp;"
                                             "TYPENAME=a " +
                                             server +
                                             "wfs?SERVICE=WFS&amp;VERSION=1.1.0&amp;REQUEST="
                                             "DescribeFeatureType&amp;TYPENAME=a",
                                         kGmlPoint));
    CHECK(readOffline(folder / "wfs.gml") == "rows 2");
    writeBytes(folder / "xlink.gml", gmlOf("", " xlink:href=\"" + server + "g.gml#p\">"));
    CHECK(readOffline(folder / "xlink.gml") == "rows 2");
    for (const std::string& system :
         {server + "crs.wkt", std::string("http://www.opengis.net/def/crs/EPSG/0/32629"),
          std::string("/vsicurl/") + server + "crs.wkt"}) {
        writeBytes(folder / "system.gml", gmlOf("", kGmlPoint, system));
        CHECK(readOffline(folder / "system.gml").find("rows") == 0);
    }
    // A schema beside the file that includes one from a server.
    writeBytes(folder / "local.gml", gmlOf("http://ogr.maptools.org/ local.xsd", kGmlPoint));
    writeBytes(folder / "local.xsd",
               R"(<?xml version="1.0"?><xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema">)"
               R"(<xs:include schemaLocation=")" +
                   server + R"(b.xsd"/><xs:import namespace="x" schemaLocation=")" + server +
                   R"(c.xsd"/></xs:schema>)");
    CHECK(readOffline(folder / "local.gml") == "rows 2");
    writeBytes(folder / "local.gfs",
               "<GMLFeatureClassList><GMLFeatureClass><Name>mast</Name><ElementPath>mast"
               "</ElementPath><SRSName>" +
                   server + "crs.wkt</SRSName></GMLFeatureClass></GMLFeatureClassList>");
    fs::last_write_time(folder / "local.gfs", fs::file_time_type::clock::now() + std::chrono::hours(1));
    CHECK(readOffline(folder / "local.gml") == "rows 2");

    for (const std::string& crs :
         {R"({"type":"link","properties":{"href":")" + server + R"(crs.wkt","type":"ogcwkt"}})",
          R"({"type":"url","properties":{"url":")" + server + R"(crs.wkt"}})",
          R"({"type":"name","properties":{"name":")" + server + R"(crs.wkt"}})",
          R"({"type":"name","properties":{"name":"/vsicurl/)" + server + R"(crs.wkt"}})"}) {
        writeBytes(folder / "crs.geojson", geoJsonOf(kJsonPoint, R"("crs":)" + crs + ","));
        CHECK(readOffline(folder / "crs.geojson") == "rows 1");
    }
    writeBytes(folder / "next.geojson",
               geoJsonOf(kJsonPoint, R"("links":[{"rel":"next","href":")" + server + R"(2"}],)"));
    CHECK(readOffline(folder / "next.geojson") == "rows 1");
    writeBytes(folder / "more.json",
               R"({"exceededTransferLimit":true,"properties":{"exceededTransferLimit":true},)" +
                   geoJsonOf(kJsonPoint).substr(1));
    CHECK(readOffline(folder / "more.json") == "rows 1");

    writeBytes(folder / "a.osm", osmOf(R"(<node id="1" lat="53.3" lon="-6.2"><tag k="power" v="tower"/>)"
                                       R"(<tag k="url" v=")" +
                                       server + R"("/></node>)"));
    CHECK(readOffline(folder / "a.osm") == "rows 1");
}
