// SPDX-License-Identifier: GPL-3.0-or-later
// Pictures of the ground, written here by GDAL in one system, have to lie in a plan of another where PROJ
// says. The pictures are ramps: a colour says to a quarter of a pixel which place of the picture is seen.
#include "catch.h"
#include "geo/web_grid.h"
#include "gpkg/sqlite.h"
#include "intake/basemap.h"
#include "intake/offline_child.h"
#include "intake/package_tiles.h"
#include "intake/picture_files.h"
#include "store/folder.h"

#include <fmt/format.h>
#include <sys/stat.h>

#include <thread>

using namespace fw;
using namespace fw::testing;
namespace fs = std::filesystem;

namespace {

constexpr int kPlan = 32629; // UTM zone 29N
const PlanePoint kMiddle{680000, 5910000};

Frame planFrame() { return *Frame::fromEpsg(kPlan); }
Box round(PlanePoint p, double half) { return {p.x - half, p.y - half, p.x + half, p.y + half}; }

Color ramp(int col, int row) {
    return {static_cast<std::uint8_t>(20 + 4 * col), static_cast<std::uint8_t>(20 + 4 * row), 200, 255};
}
constexpr int kSide = 56; // 20 + 4 * 55 = 240

/// A picture of kSide pixels of `cell` around the plan's middle.
PictureLay layIn(int epsg, double cell, double cellY = 0) {
    const PlanePoint c = Judge(kPlan, epsg)(kMiddle);
    const double down = cellY > 0 ? cellY : cell;
    return {c.x - cell * kSide / 2, c.y + down * kSide / 2, cell, kSide, kSide, epsg, cellY};
}

BasemapHead headOf(const BasemapFile& what) {
    const auto head = lookAtBasemap(what, planFrame());
    INFO((head ? "" : head.error().sentence()));
    REQUIRE(head.ok());
    return *head;
}
std::string refusal(const fs::path& file) {
    const auto head = lookAtBasemap({file, {}, 0}, planFrame());
    return head ? "taken" : head.error().sentence();
}
Picture read(const BasemapFile& what, const Box& box, int side) {
    const auto reader = BasemapReader::open(what, planFrame());
    INFO((reader ? "" : reader.error().sentence()));
    REQUIRE(reader.ok());
    auto picture = (*reader)->read(box, side, side);
    INFO((picture ? "" : picture.error().sentence()));
    REQUIRE(picture.ok());
    REQUIRE(picture->width == side);
    return *picture;
}
Color at(const Picture& p, int x, int y) {
    const std::uint8_t* c = p.row(y) + 4 * x;
    return {c[0], c[1], c[2], c[3]};
}

// Towards a tile that is not there a picture fades over half a pixel.
constexpr double kFade = 0.55;

/// Each pixel shows the place of the picture that PROJ names, to `tolerance` of the picture's pixels.
void checkRamp(const Picture& picture, const Box& box, const PictureLay& lay, double tolerance) {
    const Judge judge(kPlan, lay.epsg);
    int seen = 0, beyond = 0, missing = 0;
    double worst = 0;
    for (int y = 0; y < picture.height; ++y)
        for (int x = 0; x < picture.width; ++x) {
            const PlanePoint p = judge({box.x0 + (x + 0.5) * box.width() / picture.width,
                                        box.y1 - (y + 0.5) * box.height() / picture.height});
            const double col = (p.x - lay.x0) / lay.cell, row = (lay.yTop - p.y) / lay.down();
            const Color c = at(picture, x, y);
            const double out = std::max(std::max(-col, col - kSide), std::max(-row, row - kSide));
            beyond += out > kFade && c[3] != 0;
            if (out > -1) continue; // within a pixel of the edge a ramp ends
            ++seen;
            missing += c[3] != 255;
            worst = std::max({worst, std::fabs((c[0] - 20) / 4.0 - (col - 0.5)),
                              std::fabs((c[1] - 20) / 4.0 - (row - 0.5))});
        }
    INFO("worst " << worst << " of " << seen);
    CHECK(seen > 500);
    CHECK(beyond == 0);
    CHECK(missing == 0);
    CHECK(worst < tolerance);
}

// A level of colour is a quarter of a pixel, rounded to half of it; the mesh adds less than 0.1
// (mesh_warp.h).
constexpr double kRampTolerance = 0.25;

} // namespace

TEST_CASE("a picture in another system lies where PROJ says", "[basemap]") {
    const TestFolder folder;
    const fs::path file = folder / "a.tif";
    // Degrees; spherical Mercator; the next zone, turned by 5 deg; a conic system; the plan's own.
    const std::vector<std::pair<int, double>> systems{
        {4326, 1e-4}, {3857, 16}, {32630, 10}, {3034, 10}, {kPlan, 10}};
    for (const auto& [epsg, cell] : systems) {
        INFO("EPSG:" << epsg);
        const PictureLay lay = layIn(epsg, cell);
        writePicture(file, lay, ramp);
        const BasemapHead head = headOf({file, {}, 0});
        CHECK(head.system.epsg == epsg);
        CHECK(head.format == "GeoTIFF");
        CHECK(head.extent.contains(kMiddle));
        const Box box = round(kMiddle, 420);
        checkRamp(read({file, {}, 0}, box, 300), box, lay, kRampTolerance);
        // Nearer, where one pixel of the file is many of the screen.
        const Box near = round(kMiddle + PlanePoint{37, -51}, 60);
        checkRamp(read({file, {}, 0}, near, 256), near, lay, kRampTolerance);
    }
}

TEST_CASE("a picture says what it is before it is taken", "[basemap]") {
    const TestFolder folder;
    const fs::path file = folder / "a.tif";
    const PictureLay lay = layIn(kPlan, 10);
    writePicture(file, lay, ramp, {.metadata = {{"TIFFTAG_COPYRIGHT", "Survey of Port Merrow"}}});
    const BasemapHead head = headOf({file, {}, 0});
    CHECK(head.attribution == "Survey of Port Merrow");
    CHECK(head.what == "56 x 56 pixels, red, green and blue");
    CHECK(head.cellM == Approx(10).epsilon(1e-9));
    CHECK(head.extent.width() == Approx(560).epsilon(1e-9));
    CHECK(head.notes.empty());

    PictureLay nameless = lay;
    nameless.epsg = 0;
    writePicture(file, nameless, ramp);
    const BasemapHead open = headOf({file, {}, 0});
    CHECK_FALSE(open.system.known());
    CHECK(open.extent.empty());
    REQUIRE(open.notes.size() == 1);
    CHECK_FALSE(BasemapReader::open({file, {}, 0}, planFrame()));
    // The user names it.
    CHECK(headOf({file, {}, kPlan}).extent.contains(kMiddle));
    const Box box = round(kMiddle, 300);
    checkRamp(read({file, {}, kPlan}, box, 200), box, lay, kRampTolerance);
}

TEST_CASE("grey, colour tables, alpha, and cells without data", "[basemap]") {
    const TestFolder folder;
    const fs::path file = folder / "a.tif";
    const PictureLay lay = layIn(kPlan, 10);
    const Box box{lay.x0, lay.yTop - 560, lay.x0 + 560, lay.yTop}; // pixel for pixel
    SECTION("grey, and black as no data") {
        writePicture(file, lay, [](int c, int) { return Color{static_cast<std::uint8_t>(c < 10 ? 0 : 100)}; },
                     {.bands = 1, .noData = 0});
        const Picture p = read({file, {}, 0}, box, kSide);
        CHECK(at(p, 5, 30) == Color{0, 0, 0, 0});
        CHECK(at(p, 30, 30) == Color{100, 100, 100, 255});
        CHECK(headOf({file, {}, 0}).what.find("grey") != std::string::npos);
    }
    SECTION("grey with alpha") {
        writePicture(file, lay,
                     [](int c, int) {
                         return Color{200, 0, 0, static_cast<std::uint8_t>(c < 28 ? 0 : 128)};
                     },
                     {.bands = 2});
        const Picture p = read({file, {}, 0}, box, kSide);
        CHECK(at(p, 5, 30)[3] == 0);
        CHECK(at(p, 50, 30) == Color{100, 100, 100, 128}); // 200 * 128 / 255, the colour multiplied by alpha
    }
    SECTION("red, green, blue and alpha") {
        writePicture(file, lay,
                     [](int c, int) {
                         return Color{255, 10, 20, static_cast<std::uint8_t>(c < 28 ? 255 : 0)};
                     },
                     {.bands = 4});
        const Picture p = read({file, {}, 0}, box, kSide);
        CHECK(at(p, 5, 30) == Color{255, 10, 20, 255});
        CHECK(at(p, 50, 30) == Color{0, 0, 0, 0});
    }
    SECTION("a band that is nought alone is a colour, all of them are no data") {
        writePicture(file, lay,
                     [](int c, int) {
                         return c < 28 ? Color{0, 0, 90} : Color{0, 0, 0};
                     },
                     {.noData = 0});
        const Picture p = read({file, {}, 0}, box, kSide);
        CHECK(at(p, 5, 30) == Color{0, 0, 90, 255});
        CHECK(at(p, 50, 30)[3] == 0);
    }
    SECTION("a colour table with a transparent entry") {
        const auto entry = [](int c, int) { return Color{static_cast<std::uint8_t>(c < 28 ? 1 : 2)}; };
        const WrittenFile data = pictureInMemory(lay, entry, {.bands = 1});
        GDALColorTable table;
        const GDALColorEntry none{0, 0, 0, 0}, brick{180, 60, 40, 255};
        table.SetColorEntry(0, &none);
        table.SetColorEntry(1, &brick);
        table.SetColorEntry(2, &none);
        data->GetRasterBand(1)->SetColorTable(&table);
        data->GetRasterBand(1)->SetColorInterpretation(GCI_PaletteIndex);
        data->GetRasterBand(1)->SetNoDataValue(2);
        auto* driver = GetGDALDriverManager()->GetDriverByName("GTiff");
        WrittenFile copy(driver->CreateCopy(file.c_str(), data.get(), FALSE, nullptr, nullptr, nullptr));
        copy.reset(); // now it is on the disk
        const Picture p = read({file, {}, 0}, box, kSide);
        CHECK(at(p, 5, 30) == Color{180, 60, 40, 255});
        CHECK(at(p, 50, 30)[3] == 0);
        CHECK(headOf({file, {}, 0}).what.find("a colour table") != std::string::npos);
    }
    SECTION("sixteen bits are drawn from the least to the most") {
        writePicture(file, lay,
                     [](int c, int) {
                         return Color{static_cast<std::uint8_t>(c == 0 ? 10 : c == 55 ? 210 : 110)};
                     },
                     {.bands = 1, .type = GDT_UInt16});
        const Picture p = read({file, {}, 0}, box, kSide);
        CHECK(at(p, 0, 30)[0] == 0);
        CHECK(at(p, 55, 30)[0] == 255);
        CHECK(at(p, 30, 30)[0] == 128); // half way
    }
}

TEST_CASE("from afar a picture is averaged, with its overviews and without", "[basemap]") {
    const TestFolder folder;
    const auto checks = [](int c, int r) {
        const std::uint8_t v = (c + r) % 2 ? 250 : 50;
        return Color{v, v, v};
    };
    const PictureLay lay{kMiddle.x - 2560, kMiddle.y + 2560, 10, 512, 512, kPlan};
    for (const bool overviews : {false, true}) {
        const fs::path file = folder / (overviews ? "o.tif" : "a.tif");
        writePicture(file, lay, checks, {.overviews = overviews ? std::vector{2, 4, 8} : std::vector<int>{}});
        const Picture p = read({file, {}, 0}, round(kMiddle, 2400), 60); // eight pixels in one
        for (int x = 2; x < 58; ++x)
            CHECK(std::abs(at(p, x, 30)[0] - 150) <= 12); // of 64 checks a few too many
    }
}

namespace {

/// A picture on the web's grid as tiles of a file, with overviews.
void writeTiles(const fs::path& file, const std::string& driver, const std::vector<std::string>& options,
                const PictureLay& lay,
                const std::vector<std::pair<std::string, std::string>>& metadata = {}) {
    writePicture(file, lay, ramp, {.driver = driver, .options = options, .metadata = metadata});
}

/// On the grid of zoom 14: 9.55 m in the plane, 5.7 m on the ground here.
PictureLay onWebGrid() {
    PictureLay lay = layIn(3857, webPixelM(14));
    const auto snapped = [&](double v) { return std::round(v / lay.cell) * lay.cell; };
    lay.x0 = snapped(lay.x0);
    lay.yTop = snapped(lay.yTop);
    return lay;
}

} // namespace

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
            checkRamp(read({file, {}, 0}, box, 256), box, lay, kRampTolerance);
            continue;
        }
        // Lossy pictures, and such of 256 colours, are some levels off here and there, not in the mean: a
        // pixel is four levels.
        const Picture p = read({file, {}, 0}, round(kMiddle, 120), 200);
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

std::string tileBytes(const fs::path& folder, const std::string& driver, int side,
                      Color color = {90, 90, 90, 255}) {
    const fs::path file = folder / ("tile." + driver);
    writePicture(file, {0, 0, 1, side, side, 0}, [&](int, int) { return color; }, {.driver = driver});
    return bytesOf(file);
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
        CHECK(at(read({file, {}, 0}, round(kMiddle, 100), 64), 32, 32) == Color{90, 90, 90, 255});
    }
    SECTION("tiles of 512 pixels") {
        makeMbTiles(file, kTiles, tileBytes(folder.path(), "PNG", 512));
        CHECK(at(read({file, {}, 0}, round(kMiddle, 100), 64), 32, 32) == Color{90, 90, 90, 255});
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
        checkRamp(read({folder / "a.gpkg", {}, 0}, box, 256), box, lay, kRampTolerance);
    }
    SECTION("degrees") {
        const PictureLay lay = layIn(4326, 1e-4, 0.7e-4);
        writeTiles(folder / "a.gpkg", "GPKG", {"TILE_FORMAT=PNG"}, lay);
        checkRamp(read({folder / "a.gpkg", {}, 0}, box, 256), box, lay, kRampTolerance);
    }
    SECTION("the web's grid") {
        const PictureLay lay = onWebGrid();
        writeTiles(folder / "a.gpkg", "GPKG", {"TILING_SCHEME=GoogleMapsCompatible", "TILE_FORMAT=PNG"}, lay);
        checkRamp(read({folder / "a.gpkg", {}, 0}, box, 256), box, lay, kRampTolerance);
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

TEST_CASE("what is no picture of the ground is refused by a sentence", "[basemap]") {
    const TestFolder folder;
    const auto write = [&](const char* name, const std::string& bytes) {
        writeBytes(folder / name, bytes);
        return folder / name;
    };
    CHECK(refusal(folder / "nothing.tif").find("no such file") != std::string::npos);
    CHECK(refusal(folder.path()).find("a folder") != std::string::npos);
    REQUIRE(mkfifo((folder / "pipe.tif").c_str(), 0600) == 0);
    CHECK(refusal(folder / "pipe.tif").find("no regular file") != std::string::npos);
    CHECK(refusal("/vsicurl/http://127.0.0.1:9/a.tif") != "taken");
    CHECK(refusal(write("a.vrt", "<VRTDataset rasterXSize=\"1\" rasterYSize=\"1\"/>"))
              .find("virtual data set") != std::string::npos);
    CHECK(refusal(write("wms.xml",
                        "<GDAL_WMS><Service name=\"TMS\"><ServerUrl>http://127.0.0.1:9/${z}/${x}/${y}"
                        "</ServerUrl></Service></GDAL_WMS>"))
              .find("virtual data set") != std::string::npos);
    CHECK(refusal(write("a.csv", "east;north\n1;2\n")).find("holds no picture of the ground") !=
          std::string::npos);
    CHECK(refusal(write("a.geojson", R"({"type":"FeatureCollection","features":[]})"))
              .find("This is GeoJSON, which holds no picture") != std::string::npos);
    writeFile("ESRI Shapefile", folder / "s.shp", kPlan, {});
    CHECK(refusal(folder / "s.shp").find("Shapefile, which holds no picture") != std::string::npos);
    CHECK(refusal(write("a.png", tileBytes(folder.path(), "PNG", 16))).find("without a place") !=
          std::string::npos);
    // Blocks so large that a look would take all memory.
    writePicture(
        folder / "huge.tif", {kMiddle.x, kMiddle.y, 1, 9000, 8000, kPlan}, [](int, int) { return Color{}; },
        {.bands = 1, .options = {"COMPRESS=DEFLATE", "TILED=YES", "BLOCKXSIZE=9008", "BLOCKYSIZE=8000"}});
    INFO(refusal(folder / "huge.tif"));
    CHECK(refusal(folder / "huge.tif").find("blocks of 9008 x 8000") != std::string::npos);
    // A link to a file is that file.
    writePicture(folder / "real.tif", layIn(kPlan, 10), ramp);
    fs::create_symlink(folder / "real.tif", folder / "link.tif");
    CHECK(refusal(folder / "link.tif") == "taken");
    fs::create_symlink(folder / "gone.tif", folder / "dangling.tif");
    CHECK(refusal(folder / "dangling.tif").find("no such file") != std::string::npos);
}

TEST_CASE("a file that goes while it is shown says so, and nothing falls", "[basemap]") {
    const TestFolder folder;
    writeTiles(folder / "a.mbtiles", "MBTiles", {"TILE_FORMAT=PNG"}, onWebGrid());
    const auto reader = BasemapReader::open({folder / "a.mbtiles", {}, 0}, planFrame());
    REQUIRE(reader.ok());
    const auto far = (*reader)->read({0, 0, 1e6, 1e6}, 64, 64); // where there is nothing
    REQUIRE(far.ok());
    const auto nothing = (*reader)->read({-4e7, -4e7, 4e7, 4e7}, 64, 64); // beyond the plan's system
    REQUIRE(nothing.ok());
    CHECK(at(*nothing, 1, 1)[3] == 0);
    const auto stopped = (*reader)->read(round(kMiddle, 200), 64, 64, [] { return false; });
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.error().code == ErrorCode::cancelled);
    fs::remove(folder / "a.mbtiles");
    CHECK_FALSE(BasemapReader::open({folder / "a.mbtiles", {}, 0}, planFrame()));
}

TEST_CASE("several threads read the same pictures as one", "[basemap][threads]") {
    const TestFolder folder;
    writePicture(folder / "a.tif", layIn(32630, 10), ramp);
    const auto reader = BasemapReader::open({folder / "a.tif", {}, 0}, planFrame());
    REQUIRE(reader.ok());
    std::vector<Picture> alone(8), together(8);
    const auto boxOf = [](std::size_t k) {
        return round(kMiddle + PlanePoint{30.0 * static_cast<double>(k), 0}, 150);
    };
    for (std::size_t k = 0; k < 8; ++k) alone[k] = *(*reader)->read(boxOf(k), 128, 128);
    std::vector<std::thread> threads;
    for (std::size_t t = 0; t < 4; ++t)
        threads.emplace_back([&, t] {
            for (const std::size_t k : {t, t + 4}) {
                auto p = (*reader)->read(boxOf(k), 128, 128);
                if (p) together[k] = std::move(*p);
            }
        });
    for (std::thread& t : threads) t.join();
    for (std::size_t k = 0; k < 8; ++k) CHECK(alone[k].rgba == together[k].rgba);
}

TEST_CASE("pictures of the ground are read without the network", "[basemap][network]") {
    const TestFolder folder;
    writePicture(folder / "a.tif", layIn(32630, 10), ramp);
    writeTiles(folder / "a.mbtiles", "MBTiles", {"TILE_FORMAT=JPEG"}, onWebGrid());
    writeTiles(folder / "a.gpkg", "GPKG", {"TILE_FORMAT=WEBP"}, layIn(32630, 8));
    // Files beside it that a library may look for, and that point elsewhere.
    writeBytes(folder / "a.tif.aux.xml", "<PAMDataset><SRS>http://127.0.0.1:9/crs.wkt</SRS></PAMDataset>");
    writeBytes(folder / "a.tif.ovr", "<GDAL_WMS/>");
    for (const std::string name : {"a.tif", "a.mbtiles", "a.gpkg"}) {
        const Offline ran = inOfflineChild([&] {
            const auto reader = BasemapReader::open({folder / name, {}, 0}, planFrame());
            if (!reader) return reader.error().sentence();
            const auto p = (*reader)->read(round(kMiddle, 100), 64, 64);
            return p && at(*p, 32, 32)[3] == 255 ? std::string("seen") : std::string("nothing");
        });
        INFO(name);
        CHECK_FALSE(ran.trapped);
        CHECK(ran.said == "seen");
    }
}
