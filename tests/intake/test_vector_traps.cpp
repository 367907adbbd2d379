// SPDX-License-Identifier: GPL-3.0-or-later
// Files as they come: mixed, empty, turned round, with titles above their tables. What is not as it should be
// is said in the head or on its row, never passed over.
#include "catch.h"
#include "intake/ogr_files.h"
#include "intake/place_reader.h"
#include "intake/rows.h"
#include "intake/trap_files.h"
#include "intake/vector_source.h"
#include "intake/zip_bytes.h"
#include "store/folder.h"

#include <cmath>
#include <cstring>
#include <limits>

using namespace fw;
using namespace fw::testing;
namespace fs = std::filesystem;

namespace {

std::unique_ptr<Source> opened(const fs::path& file, const SourceOptions& options = {}) {
    auto source = openSource(file, options);
    INFO((source ? "" : source.error().sentence()));
    REQUIRE(source.ok());
    return std::move(*source);
}

bool says(const SourceHead& head, const std::string& part) {
    return std::any_of(head.notes.begin(), head.notes.end(),
                       [&](const std::string& note) { return note.find(part) != std::string::npos; });
}

std::string valueOf(const Source& source, const SourceRow& row, const std::string& column) {
    const auto& columns = source.head().columns;
    for (std::size_t k = 0; k < columns.size(); ++k)
        if (columns[k].name == column) return testing::textOf(row.values[k]);
    FAIL("no column " << column);
    return {};
}

void addGeometry(OGRLayer& layer, const char* wkt) {
    OGRFeature f(layer.GetLayerDefn());
    OGRGeometry* g = nullptr;
    if (wkt) REQUIRE(OGRGeometryFactory::createFromWkt(wkt, nullptr, &g) == OGRERR_NONE);
    if (g) f.SetGeometryDirectly(g);
    REQUIRE(layer.CreateFeature(&f) == OGRERR_NONE);
}

/// Rows of a sheet: text, or a number where it reads as one.
void writeSheet(const fs::path& file, const std::vector<std::vector<std::string>>& cells) {
    const WrittenFile data = createFile("XLSX", file);
    OGRLayer* layer = data->CreateLayer("Sheet1", nullptr, wkbNone, nullptr);
    std::size_t columns = 0;
    for (const auto& row : cells) columns = std::max(columns, row.size());
    for (std::size_t k = 0; k < columns; ++k) {
        OGRFieldDefn field(cells[0].size() > k ? cells[0][k].c_str() : "", OFTString);
        layer->CreateField(&field);
    }
    for (std::size_t r = 1; r < cells.size(); ++r) {
        OGRFeature f(layer->GetLayerDefn());
        for (std::size_t k = 0; k < cells[r].size(); ++k)
            f.SetField(static_cast<int>(k), cells[r][k].c_str());
        REQUIRE(layer->CreateFeature(&f) == OGRERR_NONE);
    }
}

} // namespace

constexpr const char* kNested =
    "GEOMETRYCOLLECTION (POINT (1 1),GEOMETRYCOLLECTION (POLYGON ((0 0,1 0,1 1,0 0)),"
    "LINESTRING (0 0,5 5)))";

TEST_CASE("geometries of every kind come as shapes or say why not", "[traps]") {
    const TestFolder folder;
    {
        const WrittenFile data = createFile("GPKG", folder / "a.gpkg");
        OGRLayer& layer = addLayer(*data, "all", 32629, wkbUnknown, {"SPATIAL_INDEX=NO"});
        for (const char* wkt :
             {"POINT Z (1 2 3)", "LINESTRING M (0 0 9,1 1 9)",
              "POLYGON ((0 0,9 0,9 9,0 0),(5 1,6 1,6 2,5 1))", kNested,
              "CURVEPOLYGON (CIRCULARSTRING (0 0,5 5,10 0,5 -5,0 0))", "POLYGON EMPTY",
              "TIN (((0 0 0,1 0 0,0 1 0,0 0 0)))", "MULTIPOINT (1 1,2 2)", "POLYGON ((0 0,1 1,0 0))"})
            addGeometry(layer, wkt);
        addGeometry(layer, nullptr);
    }
    // The package by our own reader, and by the one of all other formats.
    const bool ours = GENERATE(true, false);
    const auto source =
        ours ? opened(folder / "a.gpkg") : std::move(*openVectorSource(*admitFile(folder / "a.gpkg"), {}));
    CHECK(source->head().shapes == "points, lines and polygons");
    CHECK(says(source->head(), "mixes points, lines and polygons"));
    const auto rows = rowsOf(*source);
    REQUIRE(rows.size() == 10);
    CHECK(rows[0].shape.points == std::vector<PlanePoint>{{1, 2}});
    CHECK(rows[1].shape.lines == std::vector<Line>{{{0, 0}, {1, 1}}});
    CHECK(rows[2].shape.areas ==
          std::vector<Polygon>{{{{0, 0}, {9, 0}, {9, 9}}, {{{5, 1}, {6, 1}, {6, 2}}}}});
    CHECK(rows[3].shape.points.size() == 1);
    CHECK(rows[3].shape.lines.size() == 1);
    CHECK(rows[3].shape.areas.size() == 1);
    // Chords of 4 degrees lose a thousandth of a circle's area.
    REQUIRE(rows[4].shape.areas.size() == 1);
    CHECK(areaOf(rows[4].shape.areas[0]) == Approx(3.14159265 * 25).epsilon(2e-3));
    CHECK(rows[5].shape.fault == "its geometry is empty");
    CHECK(rows[6].shape.fault == "it is the surface of a solid, not a footprint");
    CHECK(rows[7].shape.points.size() == 2);
    CHECK(rows[8].shape.fault == "its outline has fewer than three corners");
    CHECK(rows[9].shape.fault == "it has no geometry");
}

TEST_CASE("coordinates that are no numbers are a fault of their row", "[traps]") {
    const TestFolder folder;
    const double bad =
        GENERATE(std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity());
    // No writer takes them, so they are put into the bytes.
    const double marked = 680123.4567;
    std::string was(8, '\0'), is(8, '\0');
    std::memcpy(was.data(), &marked, 8);
    std::memcpy(is.data(), &bad, 8);
    for (const auto& [driver, name] : std::vector<std::pair<std::string, std::string>>{
             {"FlatGeobuf", "a.fgb"}, {"ESRI Shapefile", "a.shp"}, {"GPKG", "a.gpkg"}}) {
        std::vector<WrittenRow> rows(2);
        rows[0].lines = {{{680000, 5910000}, {marked, 5910001}, {690000, 5910002}}};
        rows[1].lines = {{{680000, 5910000}, {680001, 5910001}}};
        writeFile(driver, folder / name, 32629, rows, {"SPATIAL_INDEX=NO"}, wkbLineString);
        std::string bytes = bytesOf(folder / name);
        const std::size_t at = bytes.find(was);
        REQUIRE(at != std::string::npos);
        REQUIRE(bytes.find(was, at + 1) == std::string::npos);
        writeBytes(folder / name, bytes.replace(at, 8, is));
        const auto read = rowsOf(*opened(folder / name));
        INFO(driver);
        REQUIRE(read.size() == 2);
        CHECK(read[0].shape.fault == "one of its coordinates is not a number");
        CHECK(read[1].shape.fault.empty());
    }
}

TEST_CASE("values that are no numbers keep their text", "[traps]") {
    const TestFolder folder;
    std::vector<WrittenRow> rows(2);
    for (WrittenRow& row : rows) row.points = {{1, 2}};
    rows[0].height = std::numeric_limits<double>::quiet_NaN();
    rows[1].height = std::numeric_limits<double>::infinity();
    writeFile("FlatGeobuf", folder / "a.fgb", 32629, rows, {}, wkbPoint);
    const auto source = opened(folder / "a.fgb");
    std::vector<std::string> read;
    for (const SourceRow& row : rowsOf(*source)) read.push_back(valueOf(*source, row, "height"));
    std::sort(read.begin(), read.end());
    CHECK(read == std::vector<std::string>{"\"inf\"", "\"nan\""});
}

TEST_CASE("GML comes east before north whatever order it writes", "[traps]") {
    const TestFolder folder;
    // Latitude before longitude, as the registry says and the standard wants with this spelling.
    writeBytes(
        folder / "a.gml",
        gmlOf(
            "",
            R"(><gml:Point srsName="urn:ogc:def:crs:EPSG::4326"><gml:pos>53.35 -6.26</gml:pos></gml:Point>)",
            "urn:ogc:def:crs:EPSG::4326"));
    const auto source = opened(folder / "a.gml");
    CHECK(source->head().epsg == 4326);
    CHECK(rowsOf(*source)[0].shape.points == std::vector<PlanePoint>{{-6.26, 53.35}});
    // A national grid that counts north first.
    writeBytes(
        folder / "b.gml",
        gmlOf(
            "",
            R"(><gml:Point srsName="urn:ogc:def:crs:EPSG::31467"><gml:pos>5700000 3400000</gml:pos></gml:Point>)",
            "urn:ogc:def:crs:EPSG::31467"));
    const auto grid = opened(folder / "b.gml");
    CHECK(grid->head().epsg == 31467);
    CHECK(rowsOf(*grid)[0].shape.points == std::vector<PlanePoint>{{3400000, 5700000}});
    CHECK_FALSE(fs::exists(folder / "a.gfs")); // nothing is left beside it
}

TEST_CASE("systems are found by code, by likeness, or asked for", "[traps]") {
    const TestFolder folder;
    std::vector<WrittenRow> rows(1);
    rows[0].points = {{680000, 5910000}};
    writeFile("ESRI Shapefile", folder / "a.shp", 25832, rows, {}, wkbPoint);
    CHECK(opened(folder / "a.shp")->head().epsg == 25832); // its .prj has no code
    SECTION("one that the registry does not have") {
        writeBytes(
            folder / "a.prj",
            R"(PROJCS["site",GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],)"
            R"(PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],)"
            R"(PARAMETER["latitude_of_origin",0],PARAMETER["central_meridian",-6.1],PARAMETER["scale_factor",1],)"
            R"(PARAMETER["false_easting",0],PARAMETER["false_northing",0],UNIT["metre",1]])");
        const SourceHead head = opened(folder / "a.shp")->head();
        CHECK(head.epsg == 0);
        CHECK(head.crsName == "site");
        const auto plan = Frame::fromEpsg(32629);
        CHECK(PlaceReader::open({head.epsg, head.wkt}, *plan).ok());
    }
    SECTION("one that is of no place") {
        writeBytes(folder / "a.prj", R"(LOCAL_CS["drawing",UNIT["metre",1]])");
        const SourceHead head = opened(folder / "a.shp")->head();
        CHECK(head.wkt.empty());
        CHECK(says(head, "has no place on Earth"));
    }
    SECTION("one with heights") {
        OGRSpatialReference both;
        REQUIRE(both.SetFromUserInput("EPSG:25832+5783") == OGRERR_NONE);
        char* text = nullptr;
        both.exportToWkt(&text);
        writeBytes(folder / "a.prj", text);
        CPLFree(text);
        const SourceHead head = opened(folder / "a.shp")->head();
        CHECK(head.epsg == 25832);
        CHECK(says(head, "are left out"));
    }
    SECTION("words that mean nothing") {
        writeBytes(folder / "a.prj", "http://127.0.0.1:9/crs.wkt");
        CHECK(opened(folder / "a.shp")->head().wkt.empty());
    }
}

TEST_CASE("text of a Shapefile comes as UTF-8 whatever it was written in", "[traps]") {
    const TestFolder folder;
    std::vector<WrittenRow> rows(1);
    rows[0].name = "Stra\xc3\x9f"
                   "e";
    rows[0].points = {{1, 2}};
    writeFile("ESRI Shapefile", folder / "a.shp", 32629, rows, {"ENCODING=ISO-8859-1"}, wkbPoint);
    const auto check = [&] {
        const auto source = opened(folder / "a.shp");
        CHECK(valueOf(*source, rowsOf(*source)[0], "name") == "\"Stra\xc3\x9f"
                                                              "e\"");
    };
    check();
    fs::remove(folder / "a.cpg");
    check();
}

TEST_CASE("an OSM extract gives its layers with the tags that matter as columns", "[traps]") {
    const TestFolder folder;
    std::string inside;
    const double corners[4][2] = {{53.35, -6.26}, {53.35, -6.259}, {53.351, -6.259}, {53.351, -6.26}};
    for (int k = 0; k < 4; ++k)
        inside += fmt::format(R"(<node id="{}" lat="{}" lon="{}"/>)", k + 1, corners[k][0], corners[k][1]);
    inside +=
        R"(<node id="9" lat="53.36" lon="-6.25"><tag k="power" v="tower"/><tag k="height" v="25"/></node>)"
        R"(<way id="20"><nd ref="1"/><nd ref="2"/><nd ref="3"/><nd ref="4"/><nd ref="1"/>)"
        R"(<tag k="building" v="yes"/><tag k="building:levels" v="4"/><tag k="height" v="14 m"/></way>)"
        R"(<way id="21"><nd ref="1"/><nd ref="3"/><tag k="highway" v="residential"/></way>)";
    writeBytes(folder / "a.osm", osmOf(inside));
    CHECK_FALSE(openSource(folder / "a.osm").ok()); // which layer?
    SourceOptions options;
    options.layer = "multipolygons";
    const auto houses = opened(folder / "a.osm", options);
    CHECK(houses->head().epsg == 4326);
    CHECK(houses->head().shapes == "polygons");
    for (int again = 0; again < 2; ++again) {
        const auto rows = rowsOf(*houses);
        REQUIRE(rows.size() == 1);
        CHECK(valueOf(*houses, rows[0], "building:levels") == "\"4\"");
        CHECK(valueOf(*houses, rows[0], "height") == "\"14 m\"");
        CHECK(valueOf(*houses, rows[0], "osm_way_id") == "\"20\"");
        CHECK(rows[0].shape.areas.size() == 1);
    }
    options.layer = "points";
    CHECK(rowsOf(*opened(folder / "a.osm", options)).size() == 1);
    options.layer = "lines";
    const auto streets = opened(folder / "a.osm", options);
    CHECK(valueOf(*streets, rowsOf(*streets)[0], "highway") == "\"residential\"");
}

TEST_CASE("a KML of a surveyor gives names, data and places without how they are drawn", "[traps]") {
    const TestFolder folder;
    writeBytes(
        folder / "a.kml",
        kmlOf(R"(<Folder><name>Poles</name><Placemark><name>P1</name><description>by the gate</description>)"
              R"(<ExtendedData><Data name="height"><value>8.5</value></Data></ExtendedData>)"
              R"(<Point><coordinates>-6.26,53.35,12</coordinates></Point></Placemark></Folder>)"));
    const auto source = opened(folder / "a.kml");
    CHECK(source->head().layer == "Poles");
    const auto rows = rowsOf(*source);
    REQUIRE(rows.size() == 1);
    CHECK(valueOf(*source, rows[0], "Name") == "\"P1\"");
    CHECK(valueOf(*source, rows[0], "height") == "\"8.5\"");
    CHECK(rows[0].shape.points == std::vector<PlanePoint>{{-6.26, 53.35}});
    for (const SourceColumn& column : source->head().columns) CHECK(column.name != "tessellate");
    writeBytes(folder / "cut.kml", kmlOf(kPlacemark).substr(0, 150));
    const auto cut = openSource(folder / "cut.kml");
    REQUIRE_FALSE(cut.ok());
    CHECK(cut.error().sentence().find("cannot be read") != std::string::npos);
}

TEST_CASE("sheets are tables, with the names wherever they stand", "[traps]") {
    const TestFolder folder;
    SECTION("names in the first row") {
        std::vector<WrittenRow> rows(3);
        for (int k = 0; k < 3; ++k)
            rows[static_cast<std::size_t>(k)] = {"C" + std::to_string(k), 1.5 * k, k, {}, {}, {}};
        writeFile("XLSX", folder / "a.xlsx", 0, rows, {}, wkbNone);
        const auto source = opened(folder / "a.xlsx");
        CHECK(source->head().format == "XLSX");
        CHECK(source->head().layer == "buildings");
        CHECK_FALSE(source->head().hasShapes);
        CHECK(source->head().rowCount == 3);
        const auto read = rowsOf(*source);
        REQUIRE(read.size() == 3);
        CHECK(read[0].number == 2); // as the sheet counts
        CHECK(valueOf(*source, read[2], "height") == "3");
        CHECK(source->head().columns[1].numeric);
        CHECK(read[0].shape.fault.empty());
    }
    SECTION("titles above them") {
        writeSheet(folder / "b.xlsx", {{"Weekly counters"},
                                       {"Exported 2026-03-29"},
                                       {"cell", "hour", "load", "users"},
                                       {"A1", "2026-03-29 14:00", "0.71", "22"},
                                       {"A2", "2026-03-29 15:00", "0.55", "7"}});
        const auto source = opened(folder / "b.xlsx");
        CHECK(source->head().preamble == std::vector<std::string>{"Weekly counters", "Exported 2026-03-29"});
        CHECK(says(source->head(), "stand in row 3"));
        const auto read = rowsOf(*source);
        REQUIRE(read.size() == 2);
        CHECK(read[0].number == 4);
        CHECK(valueOf(*source, read[1], "load") == "\"0.55\"");
        SourceOptions options;
        options.headerLine = 1;
        CHECK(rowsOf(*opened(folder / "b.xlsx", options)).size() == 4);
        options.headerLine = 0;
        const auto all = opened(folder / "b.xlsx", options);
        CHECK(rowsOf(*all).size() == 5);
        CHECK(all->head().columns[0].name == "Field1");
    }
    SECTION("not a workbook after all") {
        writeBytes(folder / "c.xlsx", zipOf({{"xl/workbook.xml", "<workbook/>"}}));
        const auto source = openSource(folder / "c.xlsx");
        REQUIRE_FALSE(source.ok());
        writeBytes(folder / "d.zip", zipOf({{"xl/workbook.xml", "<workbook/>"}}));
        CHECK(openSource(folder / "d.zip").error().sentence().find("Name it .xlsx") != std::string::npos);
    }
}

TEST_CASE("dates come in one spelling", "[traps]") {
    const TestFolder folder;
    {
        const WrittenFile data = createFile("FlatGeobuf", folder / "a.fgb");
        OGRLayer& layer = addLayer(*data, "a", 0, wkbPoint, {"SPATIAL_INDEX=NO"});
        OGRFieldDefn when("when", OFTDateTime);
        layer.CreateField(&when);
        for (const char* text : {"2026/03/29 14:05:06+00", "2026/03/29 14:05:06+01", "2026/03/29 14:05:06"}) {
            OGRFeature f(layer.GetLayerDefn());
            f.SetField("when", text);
            const OGRPoint p(1, 2);
            f.SetGeometry(&p);
            REQUIRE(layer.CreateFeature(&f) == OGRERR_NONE);
        }
    }
    const auto source = opened(folder / "a.fgb");
    std::vector<std::string> read;
    for (const SourceRow& row : rowsOf(*source)) read.push_back(valueOf(*source, row, "when"));
    CHECK(read == std::vector<std::string>{"\"2026-03-29T14:05:06Z\"", "\"2026-03-29T14:05:06+01:00\"",
                                           "\"2026-03-29T14:05:06\""});
}

TEST_CASE("reading stops when it is told to, in every format", "[traps]") {
    const TestFolder folder;
    Random random(6);
    const auto rows = randomFootprints(random, 50, {680000, 5910000}, 500, 8);
    for (const auto& [driver, name] : std::vector<std::pair<std::string, std::string>>{
             {"ESRI Shapefile", "a.shp"}, {"FlatGeobuf", "a.fgb"}, {"GPKG", "a.gpkg"}, {"GML", "a.gml"}}) {
        writeFile(driver, folder / name, 32629, rows);
        const auto source = opened(folder / name);
        std::stop_source stop;
        int n = 0;
        double last = 0;
        const Status read = source->forEachRow(
            {stop.get_token(), [&](double share, std::string_view) { last = share; }}, [&](SourceRow&) {
                if (++n == 7) stop.request_stop();
                return true;
            });
        INFO(name);
        REQUIRE_FALSE(read.ok());
        CHECK(read.error().code == ErrorCode::cancelled);
        CHECK(n == 7);
        CHECK(source
                  ->forEachRow({{}, [&](double share, std::string_view) { last = share; }},
                               [](SourceRow&) { return true; })
                  .ok());
        CHECK(last == 1);
    }
}

TEST_CASE("a file that is cut off is refused or ends in a sentence", "[traps]") {
    const TestFolder folder;
    Random random(8);
    const auto rows = randomFootprints(random, 200, {680000, 5910000}, 500, 8);
    for (const auto& [driver, name] : std::vector<std::pair<std::string, std::string>>{
             {"ESRI Shapefile", "a.shp"}, {"FlatGeobuf", "a.fgb"}, {"GML", "a.gml"}, {"GPKG", "a.gpkg"}}) {
        writeFile(driver, folder / name, 32629, rows, {"SPATIAL_INDEX=NO"});
        const std::string bytes = bytesOf(folder / name);
        for (const double share : {0.3, 0.6, 0.95}) {
            writeBytes(folder / name,
                       bytes.substr(0, static_cast<std::size_t>(share * double(bytes.size()))));
            const auto source = openSource(folder / name);
            INFO(name << " " << share);
            if (!source) {
                CHECK(source.error().sentence().size() > 20);
                continue;
            }
            std::size_t whole = 0;
            const Status read = (*source)->forEachRow({}, [&](SourceRow& row) {
                whole += row.shape.fault.empty() ? 1 : 0;
                return true;
            });
            // Rows without a shape are refused one by one, each with its reason.
            CHECK((!read.ok() || whole < rows.size()));
        }
    }
}
