// SPDX-License-Identifier: GPL-3.0-or-later
// One door for every format: by what is in a file, not by what it is called.
#include "intake/file_openings.h"
#include "intake/intake_bench.h"
#include "intake/ogr_files.h"
#include "intake/trap_files.h"

using namespace fw;
using namespace fw::testing;

TEST_CASE("a file is opened by what is in it", "[open]") {
    const TestFolder folder;
    const std::string table = "site;height\nA1;12,5\nB2;9,0\n";
    for (const std::string name : {"sites.csv", "sites.txt", "sites", "sites.kml", "sites.tif"}) {
        writeBytes(folder / name, table);
        const auto source = openSource(folder / name);
        INFO(name << (source ? "" : source.error().sentence()));
        REQUIRE(source.ok());
        CHECK((*source)->head().format == "text");
        CHECK((*source)->head().columns.size() == 2);
        CHECK(layersOf(folder / name)->empty());
    }
    writeBytes(folder / "map.csv", geoJsonOf(kJsonPoint));
    CHECK((*openSource(folder / "map.csv"))->head().format == "GeoJSON");
    writeBytes(folder / "survey.xml", kmlOf(kPlacemark));
    CHECK((*openSource(folder / "survey.xml"))->head().format == "KML");
}

TEST_CASE("of several layers with rows the user names one", "[open]") {
    const TestFolder folder;
    {
        const WrittenFile data = createFile("GPKG", folder / "a.gpkg");
        Random random(2);
        for (const char* name : {"houses", "sheds", "empty"}) {
            OGRLayer& layer = addLayer(*data, name, 32629, wkbPolygon);
            if (std::string(name) != "empty")
                for (const auto& row : randomFootprints(random, 4, {680000, 5910000}, 100, 5))
                    if (row.areas.size() == 1) addRow(layer, row);
        }
    }
    const auto refused = openSource(folder / "a.gpkg");
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.error().sentence().find("\"houses\", \"sheds\", \"empty\"") != std::string::npos);
    SourceOptions options;
    options.layer = "sheds";
    CHECK((*openSource(folder / "a.gpkg", options))->head().layer == "sheds");
    options.layer = "barns";
    const auto missing = openSource(folder / "a.gpkg", options);
    REQUIRE_FALSE(missing.ok());
    CHECK(missing.error().code == ErrorCode::notFound);
    options.layer = "empty";
    const auto empty = openSource(folder / "a.gpkg", options);
    REQUIRE(empty.ok());
    CHECK((*empty)->head().notes.back().find("no rows") != std::string::npos);
    const auto layers = layersOf(folder / "a.gpkg");
    REQUIRE(layers.ok());
    REQUIRE(layers->size() == 3);
    CHECK((*layers)[0].shapes == "polygons");
    CHECK((*layers)[2].rows == 0);
}

TEST_CASE("a preview opens its file once, remembered mappings and the list of layers included", "[open]") {
    const IntakeBench bench;
    const MappingMemory memory(bench.path("mappings.json"));
    const std::vector<std::filesystem::path> files{
        bench.write("trees.csv", "latitude,longitude,height\n36.93,-20.42,9\n"),
        bench.write("trees.geojson",
                    R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":)"
                    R"({"height":9},"geometry":{"type":"Point","coordinates":[-20.42,36.93]}}]})"),
        bench.write("trees.kml",
                    kmlOf("<Placemark><name>A</name><Point><coordinates>-20.42,36.93</coordinates>"
                          "</Point></Placemark>"))};
    for (const auto& file : files) {
        INFO(file.filename().string());
        FileOpenings opened(file);
        std::vector<SourceLayer> layers;
        REQUIRE(openSource(file, {}, {}, &layers));
        const int once = opened.count();
        REQUIRE(once > 0);
        CHECK(layers.size() == layersOf(file)->size());
        opened.count();
        IntakeRequest request;
        request.kind = IntakeKind::trees;
        const auto preview = previewIntake(bench.plan, file, request, memory);
        INFO((preview ? remarksOf(*preview) : preview.error().sentence()));
        REQUIRE(preview);
        CHECK(preview->good == 1);
        CHECK(opened.count() <= once + 1); // tables and GeoJSON are read again from their beginning
    }
}
