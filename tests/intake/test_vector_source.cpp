// SPDX-License-Identifier: GPL-3.0-or-later
// What other programs write comes back: each file is written here by GDAL and read back row by row.
#include "catch.h"
#include "intake/ogr_files.h"
#include "intake/rows.h"
#include "intake/source.h"
#include "store/folder.h"

#include <cmath>
#include <map>

using namespace fw;
using namespace fw::testing;
namespace fs = std::filesystem;

namespace {

std::size_t columnOf(const SourceHead& head, const std::string& name) {
    for (std::size_t k = 0; k < head.columns.size(); ++k)
        if (head.columns[k].name == name) return k;
    FAIL("no column " << name);
    return 0;
}

/// Corners in an order of their own: from the least one, anticlockwise.
Ring inOrder(Ring ring) {
    if (signedArea(ring) < 0) std::reverse(ring.begin(), ring.end());
    std::rotate(ring.begin(), std::min_element(ring.begin(), ring.end()), ring.end());
    return ring;
}

bool near(const Ring& a, const Ring& b, double tolerance) {
    if (a.size() != b.size()) return false;
    for (std::size_t k = 0; k < a.size(); ++k)
        if (std::fabs(a[k].x - b[k].x) > tolerance || std::fabs(a[k].y - b[k].y) > tolerance) return false;
    return true;
}

void compare(const SourceRow& read, const WrittenRow& wrote, double tolerance) {
    CHECK(read.shape.fault.empty());
    REQUIRE(read.shape.areas.size() == wrote.areas.size());
    for (std::size_t k = 0; k < wrote.areas.size(); ++k) {
        CHECK(near(inOrder(read.shape.areas[k].outer), inOrder(wrote.areas[k].outer), tolerance));
        REQUIRE(read.shape.areas[k].holes.size() == wrote.areas[k].holes.size());
        for (std::size_t h = 0; h < wrote.areas[k].holes.size(); ++h)
            CHECK(near(inOrder(read.shape.areas[k].holes[h]), inOrder(wrote.areas[k].holes[h]), tolerance));
    }
}

void compareValues(const SourceHead& head, const SourceRow& read, const WrittenRow& wrote,
                   const std::string& name) {
    CHECK(std::get<std::string>(read.values[columnOf(head, name)]) == wrote.name);
    // Formats of text keep 15 digits.
    CHECK(std::get<double>(read.values[columnOf(head, "height")]) == Approx(wrote.height).epsilon(1e-14));
    CHECK(std::get<double>(read.values[columnOf(head, "storeys")]) == wrote.storeys);
}

struct Format {
    std::string driver, file, said;
    int epsg;
    double tolerance; ///< the format's own precision
    std::vector<std::string> options = {};
    std::string name = "name"; ///< KML has a column of its own for it
};

} // namespace

TEST_CASE("footprints come back from every format as they were written", "[formats]") {
    GDALAllRegister();
    const TestFolder folder;
    // Formats of text keep 15 digits or what their writer is told; a Shapefile and a package keep all.
    const std::vector<Format> formats{
        {"GPKG", "a.gpkg", "GeoPackage", 32629, 0},
        {"ESRI Shapefile", "a.shp", "Shapefile", 32629, 0, {"ENCODING=UTF-8"}},
        {"FlatGeobuf", "a.fgb", "FlatGeobuf", 32629, 0, {"SPATIAL_INDEX=NO"}},
        {"GML", "a.gml", "GML", 32629, 1e-8},
        {"GeoJSON", "a.geojson", "GeoJSON", 4326, 1e-13, {"COORDINATE_PRECISION=15"}},
        {"GeoJSONSeq", "a.geojsonl", "GeoJSON", 4326, 1e-13, {"COORDINATE_PRECISION=15"}},
        {"LIBKML", "a.kml", "KML", 4326, 1e-12, {}, "Name"},
        {"LIBKML", "a.kmz", "KMZ", 4326, 1e-12, {}, "Name"},
    };
    for (const Format& format : formats) {
        DYNAMIC_SECTION(format.file) {
            const std::uint64_t seed = 7;
            INFO("seed " << seed);
            Random random(seed);
            const bool degrees = format.epsg == 4326;
            const auto wrote =
                randomFootprints(random, 60, degrees ? PlanePoint{-6.25, 53.34} : PlanePoint{680000, 5910000},
                                 degrees ? 0.02 : 2000, degrees ? 1e-4 : 10);
            writeFile(format.driver, folder / format.file, format.epsg, wrote, format.options);
            auto source = openSource(folder / format.file);
            INFO((source ? "" : source.error().sentence()));
            REQUIRE(source.ok());
            const SourceHead& head = (*source)->head();
            CHECK(head.format == format.said);
            CHECK(head.epsg == format.epsg);
            CHECK(head.hasShapes);
            CHECK(head.shapes == "polygons");
            CHECK(head.columns[columnOf(head, format.name)].samples.size() == 5);
            CHECK(head.columns[columnOf(head, "height")].numeric);
            const auto read = rowsOf(**source);
            REQUIRE(read.size() == wrote.size());
            for (std::size_t k = 0; k < wrote.size(); ++k) {
                compare(read[k], wrote[k], format.tolerance);
                compareValues(head, read[k], wrote[k], format.name);
            }
            CHECK(rowsOf(**source).size() == wrote.size()); // again from the beginning
        }
    }
}
