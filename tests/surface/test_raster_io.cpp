// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/random.h"
#include "catch.h"
#include "surface/raster_io.h"

#include <gdal_priv.h>
#include <ogr_spatialref.h>
#include <unistd.h>

#include <cmath>
#include <fstream>

using namespace fw;
namespace fs = std::filesystem;

namespace {

struct Folder {
    fs::path path;
    explicit Folder(const std::string& name)
        : path(fs::temp_directory_path() / ("fw_raster_" + name + std::to_string(::getpid()))) {
        fs::create_directories(path);
    }
    ~Folder() { fs::remove_all(path); }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
};

/// Writes a raster with the library itself, so that what the reader is shown is not of our own making.
void writeRaster(const fs::path& file, const char* driver, int epsg, std::array<double, 6> place,
                 const std::vector<float>& cells, int width, const char* unit = "", double noData = -9999) {
    GDALAllRegister();
    GDALDataset* d = GetGDALDriverManager()->GetDriverByName(driver)->Create(
        file.c_str(), width, static_cast<int>(cells.size()) / width, 1, GDT_Float32, nullptr);
    REQUIRE(d);
    d->SetGeoTransform(place.data());
    if (epsg) {
        OGRSpatialReference s;
        s.importFromEPSG(epsg);
        d->SetSpatialRef(&s);
    }
    GDALRasterBand* b = d->GetRasterBand(1);
    b->SetNoDataValue(noData);
    b->SetUnitType(unit);
    std::vector<float> copy = cells;
    REQUIRE(b->RasterIO(GF_Write, 0, 0, width, d->GetRasterYSize(), copy.data(), width, d->GetRasterYSize(),
                        GDT_Float32, 0, 0) == CE_None);
    GDALClose(d);
}

constexpr std::array<double, 6> kNorthUp{500000, 10, 0, 5800000, 0, -10};

std::string refusal(const fs::path& f, int epsg = 32632) {
    const auto t = readTerrain(f, epsg);
    return t ? std::string() : t.error().sentence();
}

} // namespace

TEST_CASE("terrain written is terrain read", "[raster]") {
    const Folder dir("round");
    Random r(11);
    Grid<float> g(512000, 5632000, 5, 37, 21);
    for (float& h : g.cells) h = static_cast<float>(r.between(-3, 900));
    const fs::path file = dir.path / "ground.tif";
    REQUIRE(writeTerrain(file, g, 32632).ok());
    const auto t = readTerrain(file, 32632);
    REQUIRE(t.ok());
    CHECK(t->heights.cells == g.cells);
    CHECK(t->heights.bounds() == g.bounds());
    CHECK(refusal(file, 32633).find("EPSG:32633") != std::string::npos);
    CHECK_FALSE(writeTerrain(dir.path / "none" / "x.tif", g, 32632).ok());
    CHECK_FALSE(writeTerrain("/vsimem/x.tif", g, 32632).ok());
}

TEST_CASE("rows of a raster run from the north, ours from the south", "[raster]") {
    const Folder dir("rows");
    writeRaster(dir.path / "a.tif", "GTiff", 32632, kNorthUp, {1, 2, 3, 4, 5, 6}, 2);
    const auto t = readTerrain(dir.path / "a.tif", 32632);
    REQUIRE(t.ok());
    CHECK(t->heights.cells == std::vector<float>{5, 6, 3, 4, 1, 2});
    CHECK(t->heights.y0 == 5800000 - 30);
    CHECK(t->at({500005, 5799995}) == 1);
}

TEST_CASE("cells without data take the mean of their nearest neighbours", "[raster]") {
    const Folder dir("gaps");
    writeRaster(dir.path / "a.tif", "GTiff", 32632, kNorthUp, {2, 4, 6, 8, -9999, 12, 14, 16, 18}, 3);
    const auto t = readTerrain(dir.path / "a.tif", 32632);
    REQUIRE(t.ok());
    CHECK(t->heights.at(1, 1) == 10.0f); // mean of the eight round it
    writeRaster(dir.path / "row.tif", "GTiff", 32632, kNorthUp, {5, -9999, NAN, -9999, 9}, 5);
    const auto row = readTerrain(dir.path / "row.tif", 32632);
    REQUIRE(row.ok());
    CHECK(row->heights.cells == std::vector<float>{5, 5, 7, 9, 9});
    writeRaster(dir.path / "none.tif", "GTiff", 32632, kNorthUp, {-9999, -9999}, 2);
    CHECK(refusal(dir.path / "none.tif").find("no cell with a height") != std::string::npos);
}

TEST_CASE("what is not terrain in the plan's system is refused by a sentence", "[raster]") {
    const Folder dir("refused");
    const std::vector<float> four{1, 2, 3, 4};
    const auto file = [&](const char* name) { return dir.path / name; };
    writeRaster(file("turned.tif"), "GTiff", 32632, {500000, 10, 1, 5800000, 1, -10}, four, 2);
    CHECK(refusal(file("turned.tif")).find("rotated") != std::string::npos);
    writeRaster(file("south.tif"), "GTiff", 32632, {500000, 10, 0, 5800000, 0, 10}, four, 2);
    CHECK(refusal(file("south.tif")).find("north up") != std::string::npos);
    writeRaster(file("oblong.tif"), "GTiff", 32632, {500000, 10, 0, 5800000, 0, -12}, four, 2);
    CHECK(refusal(file("oblong.tif")).find("square") != std::string::npos);
    writeRaster(file("degrees.tif"), "GTiff", 4326, {9, 1e-4, 0, 52, 0, -1e-4}, four, 2);
    CHECK(refusal(file("degrees.tif")).find("WGS 84") != std::string::npos);
    writeRaster(file("nowhere.tif"), "GTiff", 0, kNorthUp, four, 2);
    CHECK(refusal(file("nowhere.tif")).find("coordinate system") != std::string::npos);
    writeRaster(file("feet.tif"), "GTiff", 32632, kNorthUp, four, 2, "ft");
    CHECK(refusal(file("feet.tif")).find("\"ft\"") != std::string::npos);
    // Another driver's file under our ending.
    writeRaster(file("other.tif"), "HFA", 32632, kNorthUp, four, 2);
    CHECK(refusal(file("other.tif")).find("not a GeoTIFF") != std::string::npos);
    std::ofstream(file("mosaic.tif")) << "<VRTDataset rasterXSize=\"1\" rasterYSize=\"1\"></VRTDataset>";
    CHECK(refusal(file("mosaic.tif")).find("not a GeoTIFF") != std::string::npos);
    CHECK(refusal(file("missing.tif")).find("no such file") != std::string::npos);
    CHECK(refusal(dir.path).find("not a regular file") != std::string::npos);
    // Strings that the library would take for a place to read from.
    CHECK(refusal("/vsicurl/http://127.0.0.1/x.tif").find("no such file") != std::string::npos);
    CHECK(refusal("{\"type\":\"FeatureCollection\"}").find("no such file") != std::string::npos);
}

TEST_CASE("a raster of more than 120 million cells is refused before it is read", "[raster]") {
    // Without blocks written, so that the file is small: it is the declared size that is refused.
    const Folder dir("huge");
    GDALAllRegister();
    const auto make = [&](const char* name, int width, int height) {
        const fs::path file = dir.path / name;
        const char* options[] = {"SPARSE_OK=TRUE", "TILED=YES", nullptr};
        GDALDataset* d = GetGDALDriverManager()->GetDriverByName("GTiff")->Create(
            file.c_str(), width, height, 1, GDT_Float32, const_cast<char**>(options));
        REQUIRE(d);
        std::array<double, 6> place = kNorthUp;
        d->SetGeoTransform(place.data());
        OGRSpatialReference system;
        system.importFromEPSG(32632);
        d->SetSpatialRef(&system);
        GDALClose(d);
        REQUIRE(fs::file_size(file) < 20'000'000);
        return refusal(file);
    };
    const std::string said = make("over.tif", 12000, 10001);
    CHECK(said.find("12000 x 10001") != std::string::npos);
    CHECK(said.find("120 million") != std::string::npos);
    // Sides whose product does not fit 32 bits: 65536 x 65536 wraps to nought.
    CHECK(make("wrap.tif", 65536, 65536).find("120 million") != std::string::npos);
}
