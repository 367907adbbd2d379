// SPDX-License-Identifier: GPL-3.0-or-later
// Files and names made to catch whoever opens them: each is refused by a sentence that says why and what to
// do, or read as what it is.
#include "catch.h"
#include "intake/file_gate.h"
#include "intake/ogr_files.h"
#include "intake/source.h"
#include "intake/trap_files.h"
#include "intake/zip_bytes.h"
#include "store/folder.h"

#include <cpl_vsi.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

using namespace fw;
using namespace fw::testing;
namespace fs = std::filesystem;

namespace {

/// The sentence of the refusal; "opens" when there is none.
std::string opening(const fs::path& file) {
    const auto source = openSource(file);
    if (source) return "opens";
    CHECK(source.error().code != ErrorCode::internal);
    return source.error().sentence();
}

void checkRefused(const fs::path& file, const std::string& part) {
    const std::string said = opening(file);
    INFO(file.string().substr(0, 200) << ": " << said);
    CHECK(said.find(part) != std::string::npos);
    CHECK(said.back() == '.');
}

void writeShapefile(const fs::path& file) {
    Random random(5);
    writeFile("ESRI Shapefile", file, 32629, randomFootprints(random, 5, {680000, 5910000}, 500, 8),
              {"ENCODING=UTF-8"});
}

/// A file in a new archive, packed by the library.
void pack(const fs::path& archive, const std::string& name, const std::string& bytes, int times = 1) {
    const std::string path = "/vsizip/{" + archive.string() + "}/" + name;
    VSILFILE* out = VSIFOpenL(path.c_str(), "wb");
    REQUIRE(out);
    for (int k = 0; k < times; ++k) VSIFWriteL(bytes.data(), 1, bytes.size(), out);
    VSIFCloseL(out);
}

} // namespace

TEST_CASE("only existing regular files are opened", "[gate]") {
    const TestFolder folder;
    checkRefused(folder / "none.csv", "no such file");
    checkRefused(folder.path(), "a folder");
    REQUIRE(mkfifo((folder / "pipe.csv").c_str(), 0600) == 0);
    checkRefused(folder / "pipe.csv", "no regular file");
    checkRefused("/dev/zero", "no regular file");
    const int s = socket(AF_UNIX, SOCK_STREAM, 0);
    sockaddr_un name{};
    name.sun_family = AF_UNIX;
    (folder / "s.csv").string().copy(name.sun_path, sizeof name.sun_path - 1);
    REQUIRE(bind(s, reinterpret_cast<const sockaddr*>(&name), sizeof name) == 0);
    checkRefused(folder / "s.csv", "no regular file");
    close(s);
    writeBytes(folder / "empty.geojson", "");
    checkRefused(folder / "empty.geojson", "is empty");

    writeBytes(folder / "a.geojson", geoJsonOf(kJsonPoint));
    fs::create_symlink(folder / "a.geojson", folder / "link.geojson");
    CHECK(opening(folder / "link.geojson") == "opens");
    fs::create_symlink(folder / "nowhere", folder / "dangling.geojson");
    checkRefused(folder / "dangling.geojson", "no such file");
    fs::create_symlink(folder.path(), folder / "loop.geojson");
    checkRefused(folder / "loop.geojson", "a folder");
}

TEST_CASE("names that a library takes for documents or servers are no files", "[gate]") {
    for (const std::string name :
         {R"({"type":"FeatureCollection","features":[]})", "/vsicurl/http://127.0.0.1:9/a.geojson",
          "/vsistdin/", "/vsimem/x.geojson", "<OGRVRTDataSource></OGRVRTDataSource>", "<VRTDataset/>",
          "PG:dbname=x", "MYSQL:x", "GPKG:/etc/passwd:a", "WFS:http://127.0.0.1:9/", "ESRI:x",
          "GTIFF_DIR:1:/etc/passwd", "http://127.0.0.1:9/a.kml"})
        checkRefused(name, "no such file");
    // A file of such a name is a file.
    const TestFolder folder;
    const fs::path before = fs::current_path();
    fs::current_path(folder.path());
    writeBytes("PG:dbname=x", geoJsonOf(kJsonPoint));
    const auto source = openSource("PG:dbname=x");
    fs::current_path(before);
    INFO((source ? "" : source.error().sentence()));
    CHECK(source.ok());
}

TEST_CASE("what points elsewhere is refused under any name", "[gate]") {
    const TestFolder folder;
    const std::string raster =
        R"(<VRTDataset rasterXSize="1" rasterYSize="1"><VRTRasterBand dataType="Byte">)"
        R"(<SimpleSource><SourceFilename>/etc/passwd</SourceFilename></SimpleSource>)"
        R"(</VRTRasterBand></VRTDataset>)";
    const std::string vector = R"(<OGRVRTDataSource><OGRVRTLayer name="passwd"><SrcDataSource>/etc/passwd)"
                               R"(</SrcDataSource></OGRVRTLayer></OGRVRTDataSource>)";
    for (const std::string ending : {".vrt", ".tif", ".gpkg", ".json", ".shp", ".kml", ".csv", ".xlsx"})
        for (const std::string& text : {raster, vector, "<?xml version=\"1.0\"?>\n<!-- x -->" + vector}) {
            writeBytes(folder / ("trap" + ending), text);
            // A part of a Shapefile is told by its name first.
            checkRefused(folder / ("trap" + ending), "virtual data set");
        }
    writeBytes(folder / "wms.xml", "<GDAL_WMS><Service name=\"TMS\"/></GDAL_WMS>");
    checkRefused(folder / "wms.xml", "virtual data set");
}

TEST_CASE("documents with a DTD are refused", "[gate]") {
    const TestFolder folder;
    const std::string dtd = R"(<!DOCTYPE kml [<!ENTITY x SYSTEM "file:///etc/passwd">]>)";
    writeBytes(folder / "a.kml",
               R"(<?xml version="1.0"?>)" + dtd + kmlOf("<name>&x;</name>" + kPlacemark).substr(38));
    checkRefused(folder / "a.kml", "document type definition");
    writeBytes(folder / "a.gml",
               R"(<?xml version="1.0"?> <!-- a --> <!DOCTYPE a SYSTEM "http://127.0.0.1:9/a.dtd"><a/>)");
    checkRefused(folder / "a.gml", "document type definition");
}

TEST_CASE("archives are bounded", "[gate]") {
    const TestFolder folder;
    const std::string zeros(1 << 20, '\0');
    SECTION("a file that unpacks to a thousand times its size") {
        pack(folder / "bomb.kmz", "doc.kml", zeros, 64);
        checkRefused(folder / "bomb.kmz", "250 times");
    }
    SECTION("files that are too much together") {
        writeBytes(folder / "many.kmz", zipOf({{"doc.kml", std::string(5 << 20, 'x'), 900u << 20},
                                               {"b.png", std::string(5 << 20, 'x'), 900u << 20}}));
        checkRefused(folder / "many.kmz", "more than 1 GiB");
    }
    SECTION("a table that says less than there is") {
        pack(folder / "lies.kmz", "doc.kml", zeros, 40);
        std::string bytes = bytesOf(folder / "lies.kmz");
        const std::size_t entry = bytes.rfind("PK\x01\x02");
        REQUIRE(entry != std::string::npos);
        bytes.replace(entry + 24, 4, std::string("\x00\x10\x00\x00", 4));
        writeBytes(folder / "lies.kmz", bytes);
        checkRefused(folder / "lies.kmz", "larger than the archive says");
    }
    SECTION("names that lead out") {
        for (const std::string name : {"../doc.kml", "a/../../doc.kml", "/doc.kml", "..\\doc.kml"}) {
            writeBytes(folder / "out.kmz", zipOf({{name, kmlOf(kPlacemark)}}));
            checkRefused(folder / "out.kmz", "leads out");
        }
    }
    SECTION("more than 10,000 files") {
        std::vector<ZipMember> members;
        for (int k = 0; k <= 10000; ++k) members.push_back({std::to_string(k) + ".kml", "x"});
        writeBytes(folder / "crowd.kmz", zipOf(members));
        checkRefused(folder / "crowd.kmz", "more than 10000 files");
    }
    SECTION("locked, empty, cut off, of another kind") {
        writeBytes(folder / "locked.kmz", zipOf({{"doc.kml", kmlOf(kPlacemark), 0, 1}}));
        checkRefused(folder / "locked.kmz", "password");
        writeBytes(folder / "none.kmz", zipOf({}));
        checkRefused(folder / "none.kmz", "empty");
        const std::string whole = zipOf({{"doc.kml", kmlOf(kPlacemark)}});
        writeBytes(folder / "cut.kmz", whole.substr(0, whole.size() - 30));
        checkRefused(folder / "cut.kmz", "damaged or cut off");
        writeBytes(folder / "other.zip", zipOf({{"readme.txt", "x"}}));
        checkRefused(folder / "other.zip", "neither an XLSX table, a KMZ nor a zipped Shapefile");
        writeBytes(folder / "whole.kmz", whole);
        CHECK(opening(folder / "whole.kmz") == "opens");
    }
    SECTION("an archive in an archive is not followed") {
        writeBytes(folder / "nested.kmz", zipOf({{"inner.kmz", zipOf({{"doc.kml", kmlOf(kPlacemark)}})}}));
        checkRefused(folder / "nested.kmz", "neither an XLSX table");
    }
}

TEST_CASE("a Shapefile says which of its parts are missing", "[gate]") {
    const TestFolder folder;
    writeShapefile(folder / "a.shp");
    CHECK(admitFile(folder / "a.shp")->warnings.empty());
    for (const std::string part : {".shx", ".dbf", ".prj", ".cpg"}) {
        checkRefused(folder / ("a" + part), ".shp");
        const TestFolder other;
        for (const auto& entry : fs::directory_iterator(folder.path()))
            if (entry.path().extension() != part)
                fs::copy(entry.path(), other / entry.path().filename().string());
        const auto source = openSource(other / "a.shp");
        INFO(part);
        if (part == ".shx") {
            checkRefused(other / "a.shp", ".shx that belongs to this Shapefile is missing");
            continue;
        }
        REQUIRE(source.ok());
        const SourceHead& head = (*source)->head();
        REQUIRE_FALSE(head.notes.empty());
        CHECK(head.notes[0].find("no " + part + " beside") != std::string::npos);
        CHECK((head.epsg == 0) == (part == ".prj"));
        CHECK(head.rowCount == 5);
    }
    // A pipe beside it would block the reader for ever.
    fs::remove(folder / "a.dbf");
    REQUIRE(mkfifo((folder / "a.dbf").c_str(), 0600) == 0);
    checkRefused(folder / "a.shp", "no regular file");
}

TEST_CASE("a zipped Shapefile is read from its archive", "[gate]") {
    const TestFolder folder, zipped;
    writeShapefile(folder / "a.shp");
    std::vector<ZipMember> members;
    for (const auto& entry : fs::directory_iterator(folder.path()))
        members.push_back({"map/" + entry.path().filename().string(), bytesOf(entry.path())});
    members.push_back({"readme.txt", "x"});
    writeBytes(zipped / "a.zip", zipOf(members));
    const auto source = openSource(zipped / "a.zip");
    INFO((source ? "" : source.error().sentence()));
    REQUIRE(source.ok());
    CHECK((*source)->head().format == "zipped Shapefile");
    CHECK((*source)->head().epsg == 32629);
    CHECK((*source)->head().rowCount == 5);
}

TEST_CASE("formats that are not read are named", "[gate]") {
    const TestFolder folder;
    using namespace std::string_literals;
    const std::vector<std::pair<std::string, std::string>> cases{
        {"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"s, "XLSX or CSV"},
        {"\x1f\x8b\x08\x00"s, "gzip"},
        {"%PDF-1.4", "PDF"},
        {"\x89PNG\r\n\x1a\n"s, "picture"},
        {"EHFA_HEADER_TAG\0"s, "GeoTIFF"},
        {"SQLite format 3\0"s + std::string(200, '\0'), "database of another program"},
        {"<html><body/></html>", "neither KML, GML nor an OSM extract"},
        {"\x01\x00\x00\x00\x07\x00"s, "none of the formats"},
        {"  0\nSECTION\n", "CAD drawing"},
        {"0\r\nSECTION\r\n", "CAD drawing"},
        {"II*\0\x08\0\0\0"s, "raster, which has no rows"},
    };
    for (const auto& [bytes, part] : cases) {
        writeBytes(folder / "file.dat", bytes);
        checkRefused(folder / "file.dat", part);
    }
}
