// SPDX-License-Identifier: GPL-3.0-or-later
// Tiles in files, MBTiles and GeoPackage, as a map beneath the plan.
#include "gpkg/sqlite.h"
#include "intake/basemap_ramp.h"
#include "intake/package_tiles.h"

using namespace fw;
using namespace fw::testing;
namespace fs = std::filesystem;

TEST_CASE("MBTiles lie where PROJ says", "[basemap]") {
    const TestFolder folder;
    const PictureLay lay = onWebGrid();
    const Box box = round(kMiddle, 200);
    for (const std::string format : {"PNG", "PNG8", "JPEG", "WEBP"}) {
        INFO(format);
        const fs::path file = folder / (format + ".mbtiles");
        writeTiles(file, "MBTiles", {"TILE_FORMAT=" + format, "QUALITY=95"}, lay,
                   {{"attribution", "<a href=\"https://example.org\">&copy; Survey &amp; Sons</a>"}});
        const BasemapHead head = headOf({file, {}, 0});
        CHECK(head.format == "MBTiles");
        CHECK(head.system.epsg == 3857);
        CHECK(head.extent.contains(kMiddle));
        CHECK(head.cellM == Approx(webPixelM(14) * std::cos(53.31 * 3.14159265 / 180)).epsilon(0.01));
        if (format == "PNG") {
            checkRamp(pictureOf({file, {}, 0}, box, 256), box, lay, kRampTolerance);
            continue;
        }
        // Lossy pictures, and such of 256 colours, are some levels off here and there, not in the mean: a
        // pixel is four levels.
        const Picture p = pictureOf({file, {}, 0}, round(kMiddle, 120), 200);
        const Judge judge(kPlan, 3857);
        double off = 0;
        for (int y = 0; y < 200; ++y)
            for (int x = 0; x < 200; ++x) {
                const PlanePoint there = judge(kMiddle + PlanePoint{(x - 99.5) * 1.2, (99.5 - y) * 1.2});
                off += (at(p, x, y)[0] - 20) / 4.0 - ((there.x - lay.x0) / lay.cell - 0.5);
            }
        CHECK(std::fabs(off / 40000) < 0.3);
    }
}

namespace {

/// Makes an MBTiles file by hand: tables as told, one tile of zoom 0 in one colour.
void makeMbTiles(const fs::path& file, const std::string& sql, const std::string& tile) {
    auto db = Database::open(file, Database::Mode::create);
    REQUIRE(db.ok());
    REQUIRE(db->execute(sql).ok());
    for (const std::string table : {"tiles", "images"}) {
        if (!*db->hasTable(table)) continue;
        auto in = db->prepare(table == "tiles" ? "INSERT INTO tiles VALUES (0,0,0,?)"
                                               : "INSERT INTO images VALUES (?,'a')");
        REQUIRE(in.ok());
        in->bindBlob(1, tile);
        REQUIRE(in->run().ok());
    }
}

constexpr const char* kTiles =
    "CREATE TABLE tiles (zoom_level INTEGER, tile_column INTEGER, tile_row INTEGER, "
    "tile_data BLOB);";
constexpr const char* kMetadata = "CREATE TABLE metadata (name TEXT, value TEXT);";

} // namespace

TEST_CASE("MBTiles as other writers make them", "[basemap]") {
    const TestFolder folder;
    const fs::path file = folder / "a.mbtiles";
    const std::string png = tileBytes(folder.path(), "PNG", 256);
    SECTION("pictures kept once, joined by a view") {
        makeMbTiles(
            file,
            "CREATE TABLE map (zoom_level INTEGER, tile_column INTEGER, tile_row INTEGER, tile_id TEXT);"
            "CREATE TABLE images (tile_data BLOB, tile_id TEXT);"
            "INSERT INTO map VALUES (0,0,0,'a');"
            "CREATE VIEW tiles AS SELECT zoom_level, tile_column, tile_row, tile_data FROM map JOIN images "
            "ON images.tile_id=map.tile_id;",
            png);
        CHECK(at(pictureOf({file, {}, 0}, round(kMiddle, 100), 64), 32, 32) == Color{90, 90, 90, 255});
    }
    SECTION("tiles of 512 pixels") {
        makeMbTiles(file, kTiles, tileBytes(folder.path(), "PNG", 512));
        CHECK(at(pictureOf({file, {}, 0}, round(kMiddle, 100), 64), 32, 32) == Color{90, 90, 90, 255});
    }
    SECTION("an attribution and a title") {
        makeMbTiles(
            file,
            std::string(kTiles) + kMetadata +
                "INSERT INTO metadata VALUES ('attribution','<b>Survey</b>\n of &lt;Merrow&gt; &copy;'),"
                "('name','Old town');",
            png);
        const BasemapHead head = headOf({file, {}, 0});
        CHECK(head.attribution == "Survey of <Merrow> \xc2\xa9");
        CHECK(head.title == "Old town");
    }
    SECTION("a view that computes is not asked") {
        makeMbTiles(
            file,
            "CREATE VIEW tiles AS WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i+1 FROM n) SELECT 0 AS "
            "zoom_level, i AS tile_column, 0 AS tile_row, zeroblob(9) AS tile_data FROM n;",
            png);
        CHECK(refusal(file).find("computed when they are looked at") != std::string::npos);
    }
    SECTION("lines and areas in place of pictures") {
        makeMbTiles(file, std::string(kTiles) + kMetadata + "INSERT INTO metadata VALUES ('format','pbf');",
                    png);
        CHECK(refusal(file).find("lines and areas, not pictures") != std::string::npos);
    }
    SECTION("tiles that are no pictures, or too large") {
        makeMbTiles(file, kTiles, "\x1f\x8b nothing");
        CHECK(refusal(file).find("no PNG, JPEG or WebP") != std::string::npos);
        const fs::path large = folder / "large.mbtiles";
        makeMbTiles(large, kTiles, tileBytes(folder.path(), "PNG", 1500));
        CHECK(refusal(large).find("1500 x 1500 pixels") != std::string::npos);
        const fs::path heavy = folder / "heavy.mbtiles";
        makeMbTiles(heavy, kTiles, png + std::string(5 << 20, '\0'));
        CHECK(refusal(heavy).find("larger than 4 MB") != std::string::npos);
    }
    SECTION("no tiles") {
        makeMbTiles(file, kMetadata, png);
        CHECK(refusal(file).find("holds no tiles") != std::string::npos);
    }
}

TEST_CASE("tiles of a GeoPackage lie where PROJ says, on any grid", "[basemap]") {
    const TestFolder folder;
    const Box box = round(kMiddle, 200);
    SECTION("a grid of the file's own, in another zone") {
        const PictureLay lay = layIn(32630, 8);
        writeTiles(folder / "a.gpkg", "GPKG", {"RASTER_TABLE=Old town", "TILE_FORMAT=PNG"}, lay);
        const BasemapHead head = headOf({folder / "a.gpkg", {}, 0});
        CHECK(head.system.epsg == 32630);
        CHECK(head.layer == "Old town");
        CHECK(head.cellM == Approx(8).epsilon(0.01)); // scales of the two zones differ by some 1e-3
        checkRamp(pictureOf({folder / "a.gpkg", {}, 0}, box, 256), box, lay, kRampTolerance);
    }
    SECTION("degrees") {
        const PictureLay lay = layIn(4326, 1e-4, 0.7e-4);
        writeTiles(folder / "a.gpkg", "GPKG", {"TILE_FORMAT=PNG"}, lay);
        checkRamp(pictureOf({folder / "a.gpkg", {}, 0}, box, 256), box, lay, kRampTolerance);
    }
    SECTION("the web's grid") {
        const PictureLay lay = onWebGrid();
        writeTiles(folder / "a.gpkg", "GPKG", {"TILING_SCHEME=GoogleMapsCompatible", "TILE_FORMAT=PNG"}, lay);
        checkRamp(pictureOf({folder / "a.gpkg", {}, 0}, box, 256), box, lay, kRampTolerance);
    }
    SECTION("several sets") {
        writeTiles(folder / "a.gpkg", "GPKG", {"RASTER_TABLE=b", "TILE_FORMAT=PNG"}, layIn(32630, 8));
        writeTiles(folder / "a.gpkg", "GPKG", {"RASTER_TABLE=a", "TILE_FORMAT=PNG", "APPEND_SUBDATASET=YES"},
                   layIn(kPlan, 8));
        CHECK(headOf({folder / "a.gpkg", {}, 0}).layers == std::vector<std::string>{"a", "b"});
        CHECK(headOf({folder / "a.gpkg", "b", 0}).system.epsg == 32630);
        const auto none = lookAtBasemap({folder / "a.gpkg", "c", 0}, planFrame());
        REQUIRE_FALSE(none.ok());
        CHECK(none.error().text.find("\"c\"") != std::string::npos);
    }
    SECTION("rows without tiles") {
        Random random(4);
        writeFile("GPKG", folder / "v.gpkg", kPlan, randomFootprints(random, 3, kMiddle, 50, 8));
        CHECK(refusal(folder / "v.gpkg").find("holds no tiles") != std::string::npos);
    }
}
