// SPDX-License-Identifier: GPL-3.0-or-later
// Pictures of the ground, written here by GDAL in one system, have to lie in a plan of another where PROJ
// says. The pictures are ramps: a colour says to a quarter of a pixel which place of the picture is seen.
#include "intake/basemap_ramp.h"
#include "intake/offline_child.h"

#include <fmt/format.h>
#include <sys/stat.h>

#include <thread>

using namespace fw;
using namespace fw::testing;
namespace fs = std::filesystem;

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
        checkRamp(pictureOf({file, {}, 0}, box, 300), box, lay, kRampTolerance);
        // Nearer, where one pixel of the file is many of the screen.
        const Box near = round(kMiddle + PlanePoint{37, -51}, 60);
        checkRamp(pictureOf({file, {}, 0}, near, 256), near, lay, kRampTolerance);
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
    checkRamp(pictureOf({file, {}, kPlan}, box, 200), box, lay, kRampTolerance);
}

TEST_CASE("grey, colour tables, alpha, and cells without data", "[basemap]") {
    const TestFolder folder;
    const fs::path file = folder / "a.tif";
    const PictureLay lay = layIn(kPlan, 10);
    const Box box{lay.x0, lay.yTop - 560, lay.x0 + 560, lay.yTop}; // pixel for pixel
    SECTION("grey, and black as no data") {
        writePicture(file, lay, [](int c, int) { return Color{static_cast<std::uint8_t>(c < 10 ? 0 : 100)}; },
                     {.bands = 1, .noData = 0});
        const Picture p = pictureOf({file, {}, 0}, box, kSide);
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
        const Picture p = pictureOf({file, {}, 0}, box, kSide);
        CHECK(at(p, 5, 30)[3] == 0);
        CHECK(at(p, 50, 30) == Color{100, 100, 100, 128}); // 200 * 128 / 255, the colour multiplied by alpha
    }
    SECTION("red, green, blue and alpha") {
        writePicture(file, lay,
                     [](int c, int) {
                         return Color{255, 10, 20, static_cast<std::uint8_t>(c < 28 ? 255 : 0)};
                     },
                     {.bands = 4});
        const Picture p = pictureOf({file, {}, 0}, box, kSide);
        CHECK(at(p, 5, 30) == Color{255, 10, 20, 255});
        CHECK(at(p, 50, 30) == Color{0, 0, 0, 0});
    }
    SECTION("a band that is nought alone is a colour, all of them are no data") {
        writePicture(file, lay,
                     [](int c, int) {
                         return c < 28 ? Color{0, 0, 90} : Color{0, 0, 0};
                     },
                     {.noData = 0});
        const Picture p = pictureOf({file, {}, 0}, box, kSide);
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
        const Picture p = pictureOf({file, {}, 0}, box, kSide);
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
        const Picture p = pictureOf({file, {}, 0}, box, kSide);
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
        const Picture p = pictureOf({file, {}, 0}, round(kMiddle, 2400), 60); // eight pixels in one
        for (int x = 2; x < 58; ++x)
            CHECK(std::abs(at(p, x, 30)[0] - 150) <= 12); // of 64 checks a few too many
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
