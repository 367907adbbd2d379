// SPDX-License-Identifier: GPL-3.0-or-later
// Rasters are written here by GDAL from heights that are a formula; what comes into the plan is held beside
// the formula at the place that the frame gives.
#include "catch.h"
#include "intake/ogr_files.h"
#include "intake/raster_source.h"
#include "store/folder.h"
#include "surface/raster_io.h"

#include <cmath>
#include <functional>
#include <gdal_priv.h>
#include <set>

using namespace fw;
using namespace fw::testing;
namespace fs = std::filesystem;

namespace {

struct Grid0 {
    double x0, yTop, cell;
    int width, height;
    [[nodiscard]] PlanePoint centre(int c, int r) const {
        return {x0 + (c + 0.5) * cell, yTop - (r + 0.5) * cell};
    }
};

struct RasterSpec {
    std::string driver = "GTiff";
    int epsg = 32629;
    GDALDataType type = GDT_Float32;
    std::optional<double> noData = {};
    std::string unit = {};
};

void writeRaster(const fs::path& file, const Grid0& grid, const std::function<double(PlanePoint)>& value,
                 const RasterSpec& spec = {}) {
    GDALAllRegister();
    auto* memory = GetGDALDriverManager()->GetDriverByName("MEM");
    const WrittenFile data(memory->Create("", grid.width, grid.height, 1, spec.type, nullptr));
    double place[6] = {grid.x0, grid.cell, 0, grid.yTop, 0, -grid.cell};
    data->SetGeoTransform(place);
    OGRSpatialReference system;
    system.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    if (spec.epsg != 0) {
        system.importFromEPSG(spec.epsg);
        data->SetSpatialRef(&system);
    }
    GDALRasterBand& band = *data->GetRasterBand(1);
    if (spec.noData) band.SetNoDataValue(*spec.noData);
    if (!spec.unit.empty()) band.SetUnitType(spec.unit.c_str());
    std::vector<double> line(static_cast<std::size_t>(grid.width));
    for (int r = 0; r < grid.height; ++r) {
        for (int c = 0; c < grid.width; ++c) line[static_cast<std::size_t>(c)] = value(grid.centre(c, r));
        REQUIRE(band.RasterIO(GF_Write, 0, r, grid.width, 1, line.data(), grid.width, 1, GDT_Float64, 0, 0,
                              nullptr) == CE_None);
    }
    auto* driver = GetGDALDriverManager()->GetDriverByName(spec.driver.c_str());
    const WrittenFile copy(driver->CreateCopy(file.c_str(), data.get(), FALSE, nullptr, nullptr, nullptr));
    REQUIRE(copy);
}

RasterHead rasterHeadOf(const fs::path& file) {
    auto head = lookAtRaster(file);
    INFO((head ? "" : head.error().sentence()));
    REQUIRE(head.ok());
    return *head;
}

std::string rasterRefusal(const fs::path& file) {
    const auto head = lookAtRaster(file);
    return head ? "" : head.error().sentence();
}

Frame planOf(int epsg) { return *Frame::fromEpsg(epsg); }

struct Cells {
    Grid0 grid{};
    std::vector<float> values;
    float noData = 0;
};

Cells cellsOf(const fs::path& file) {
    const WrittenFile data(GDALDataset::Open(file.c_str(), GDAL_OF_RASTER));
    REQUIRE(data);
    double place[6];
    data->GetGeoTransform(place);
    Cells cells{{place[0], place[3], place[1], data->GetRasterXSize(), data->GetRasterYSize()}, {}, 0};
    cells.values.resize(static_cast<std::size_t>(cells.grid.width) *
                        static_cast<std::size_t>(cells.grid.height));
    GDALRasterBand& band = *data->GetRasterBand(1);
    REQUIRE(band.RasterIO(GF_Read, 0, 0, cells.grid.width, cells.grid.height, cells.values.data(),
                          cells.grid.width, cells.grid.height, GDT_Float32, 0, 0, nullptr) == CE_None);
    cells.noData = static_cast<float>(band.GetNoDataValue());
    return cells;
}

void warp(const fs::path& file, const WarpRequest& request, const fs::path& out, int epsg = 32629) {
    const Status done = warpToPlan(file, planOf(epsg), request, out);
    INFO((done ? "" : done.error().sentence()));
    REQUIRE(done.ok());
}

const Box kTown{680000, 5910000, 683000, 5912000};

} // namespace

TEST_CASE("a raster says what it is before it is taken", "[raster]") {
    const TestFolder folder;
    const auto slope = [](PlanePoint p) { return (p.x - 680000) / 100; };
    SECTION("heights in feet") {
        writeRaster(folder / "ft.tif", {680000, 5912000, 10, 300, 200}, slope,
                    {.noData = -9999, .unit = "ft"});
        const RasterHead head = rasterHeadOf(folder / "ft.tif");
        CHECK(head.format == "GeoTIFF");
        CHECK(head.width == 300);
        CHECK(head.height == 200);
        CHECK(head.cellX == 10);
        CHECK(head.system.epsg == 32629);
        CHECK(head.metresPerUnit == 0.3048);
        CHECK(*head.least == Approx(0.05));
        CHECK(*head.most == Approx(29.95));
        CHECK(head.emptyShare == 0);
        CHECK_FALSE(head.sampled);
        CHECK(head.unitNote.find("in ft") != std::string::npos);
    }
    SECTION("a filler that is not declared") {
        writeRaster(folder / "f.tif", {680000, 5912000, 10, 100, 100},
                    [&](PlanePoint p) { return p.y > 5911500 ? -9999 : slope(p); });
        const RasterHead head = rasterHeadOf(folder / "f.tif");
        CHECK(head.filler == -9999);
        CHECK(*head.least >= 0);
        CHECK(head.emptyShare == Approx(0.5));
    }
    SECTION("an ASCII grid without its system") {
        writeRaster(folder / "a.asc", {680000, 5912000, 25, 60, 40}, slope,
                    {.driver = "AAIGrid", .noData = -1});
        CHECK(rasterHeadOf(folder / "a.asc").system.epsg == 32629);
        fs::remove(folder / "a.prj");
        const RasterHead head = rasterHeadOf(folder / "a.asc");
        CHECK(head.format == "ASCII grid");
        CHECK_FALSE(head.system.known());
        REQUIRE(head.notes.size() == 1);
        CHECK(head.notes[0].find("does not say which coordinate system") != std::string::npos);
    }
    SECTION("no data at all") {
        writeRaster(folder / "n.tif", {680000, 5912000, 10, 10, 10}, [](PlanePoint) { return -1; },
                    {.noData = -1});
        const RasterHead head = rasterHeadOf(folder / "n.tif");
        CHECK_FALSE(head.least);
        CHECK(head.emptyShare == 1);
    }
    SECTION("large ones are sampled") {
        writeRaster(folder / "l.tif", {680000, 5912000, 1, 3000, 2500}, slope);
        const RasterHead head = rasterHeadOf(folder / "l.tif");
        CHECK(head.sampled);
        CHECK(*head.most == Approx(30).margin(0.1));
    }
    SECTION("stopped") {
        writeRaster(folder / "s.tif", {680000, 5912000, 10, 100, 100}, slope);
        std::stop_source stop;
        stop.request_stop();
        const auto head = lookAtRaster(folder / "s.tif", {stop.get_token(), {}});
        REQUIRE_FALSE(head.ok());
        CHECK(head.error().code == ErrorCode::cancelled);
    }
}

TEST_CASE("terrain in degrees becomes the plan's terrain", "[raster]") {
    const TestFolder folder;
    const Frame plan = planOf(32629);
    // A plane over latitude and longitude: what lies between cells is then exact.
    const auto height = [](double lonDeg, double latDeg) {
        return 40 + 300 * (lonDeg + 6.26) + 500 * (latDeg - 53.33);
    };
    writeRaster(folder / "deg.tif", {-6.5, 53.5, 1.0 / 3600, 1440, 1440},
                [&](PlanePoint p) { return height(p.x, p.y); }, {.epsg = 4326});
    const RasterHead head = rasterHeadOf(folder / "deg.tif");
    CHECK(head.system.epsg == 4326);
    const auto place = placeOf(head, head.system, plan);
    REQUIRE(place.ok());
    // One second of arc: 30.9 m by 30.9 m times the cosine of 53.3 degrees.
    CHECK(place->cellM == Approx(30.92 * std::sqrt(std::cos(53.3 * 3.14159265 / 180))).epsilon(0.01));
    CHECK(place->extent.meets(kTown));
    int calls = 0;
    const Status done = warpToPlan(folder / "deg.tif", plan, {head.system, RasterUse::height, kTown, 5, 1},
                                   folder / "plan.tif", {{}, [&](double, std::string_view) { ++calls; }});
    REQUIRE(done.ok());
    CHECK(calls > 0);
    const auto terrain = readTerrain(folder / "plan.tif", 32629);
    INFO((terrain ? "" : terrain.error().sentence()));
    REQUIRE(terrain.ok());
    const auto& g = terrain->heights;
    CHECK(g.width == 600);
    CHECK(g.height == 400);
    double worst = 0;
    for (int r = 0; r < g.height; r += 7)
        for (int c = 0; c < g.width; c += 7) {
            const auto geo = plan.toGeo({g.x0 + (c + 0.5) * g.cellM, g.y0 + (r + 0.5) * g.cellM});
            worst = std::max(worst, std::fabs(double(g.at(c, r)) - height(geo->lonDeg, geo->latDeg)));
        }
    // 0.05 cells of approximation at 0.14 m a cell, and float32 at 40 m.
    CHECK(worst < 0.02);
    CHECK(std::distance(fs::directory_iterator(folder.path()), fs::directory_iterator()) == 2);
}

TEST_CASE("feet become metres and fillers stay out of what lies between", "[raster]") {
    const TestFolder folder;
    writeRaster(folder / "ft.tif", {679000, 5913000, 20, 250, 200},
                [](PlanePoint p) { return p.x > 682000 ? -32768 : 100; }, {.type = GDT_Int16, .unit = "ft"});
    const RasterHead head = rasterHeadOf(folder / "ft.tif");
    CHECK(head.filler == -32768);
    warp(folder / "ft.tif", {head.system, RasterUse::height, kTown, 10, head.metresPerUnit},
         folder / "m.tif");
    const Cells cells = cellsOf(folder / "m.tif");
    std::set<float> seen(cells.values.begin(), cells.values.end());
    CHECK(seen == std::set<float>{cells.noData, 30.48f});
}

TEST_CASE("amounts keep their sum", "[raster]") {
    const TestFolder folder;
    Random random(9);
    double sum = 0;
    const Grid0 grid{681000, 5911800, 50, 20, 20};
    writeRaster(folder / "d.tif", grid, [&](PlanePoint) {
        const double v = std::round(random.between(0, 100));
        sum += v;
        return v;
    });
    const auto total = [&](int epsg, const Box& extent, double cellM) {
        warp(folder / "d.tif", {{32629, {}}, RasterUse::demand, extent, cellM, 1}, folder / "out.tif", epsg);
        const Cells cells = cellsOf(folder / "out.tif");
        double all = 0;
        for (const float v : cells.values)
            if (v != cells.noData) all += double(v);
        return all;
    };
    CHECK(total(32629, kTown, 16) == Approx(sum).epsilon(1e-5));  // smaller cells that do not line up
    CHECK(total(32629, kTown, 130) == Approx(sum).epsilon(1e-5)); // larger ones
    // In another system: turned by the convergence of two zones, approximated to 0.05 cells.
    const auto corner = planOf(2157).toPlane(*planOf(32629).toGeo({681500, 5911300}));
    CHECK(total(2157, Box{corner->x - 1500, corner->y - 1500, corner->x + 1500, corner->y + 1500}, 40) ==
          Approx(sum).epsilon(2e-3));
}

TEST_CASE("classes stay classes", "[raster]") {
    const TestFolder folder;
    writeRaster(folder / "c.tif", {679990, 5912010, 30, 120, 90},
                [](PlanePoint p) { return std::fmod(p.x + p.y, 700) < 300 ? 10 : 50; }, {.type = GDT_Byte});
    warp(folder / "c.tif", {{32629, {}}, RasterUse::landCover, kTown, 8, 1}, folder / "out.tif");
    const Cells cells = cellsOf(folder / "out.tif");
    CHECK(std::set<float>(cells.values.begin(), cells.values.end()) == std::set<float>{10, 50});
}

TEST_CASE("rasters that cannot be taken are refused and leave nothing", "[raster]") {
    const TestFolder folder;
    const auto flat = [](PlanePoint) { return 12.0; };
    writeRaster(folder / "a.tif", {680000, 5912000, 10, 300, 200}, flat);
    const auto refusedWarp = [&](const WarpRequest& request, const Job& job = {}) {
        const Status done = warpToPlan(folder / "a.tif", planOf(32629), request, folder / "out.tif", job);
        CHECK(std::distance(fs::directory_iterator(folder.path()), fs::directory_iterator()) == 1);
        return done ? std::string() : done.error().sentence();
    };
    const SourceSystem utm{32629, {}};
    CHECK(refusedWarp({utm, RasterUse::height, {100000, 5000000, 101000, 5001000}, 5, 1})
              .find("does not reach") != std::string::npos);
    CHECK(refusedWarp({utm, RasterUse::height, kTown, 0.1, 1}).find("120 million") != std::string::npos);
    CHECK(refusedWarp({utm, RasterUse::height, kTown, 0, 1}).find("no size") != std::string::npos);
    CHECK(refusedWarp({{}, RasterUse::height, kTown, 5, 1}).find("names no coordinate system") !=
          std::string::npos);
    // Stopped on its way: after the first strip.
    std::stop_source stop;
    const Job job{stop.get_token(), [&](double share, std::string_view) {
                      if (share > 0) stop.request_stop();
                  }};
    CHECK(refusedWarp({utm, RasterUse::height, kTown, 1, 1}, job).find("stopped") != std::string::npos);

    writeBytes(folder / "v.tif", "<VRTDataset rasterXSize=\"1\" rasterYSize=\"1\"/>");
    CHECK(rasterRefusal(folder / "v.tif").find("virtual") != std::string::npos);
    writeBytes(folder / "t.tif", "a;b\n1;2\n");
    CHECK(rasterRefusal(folder / "t.tif").find("not a raster") != std::string::npos);
    const std::string bytes = bytesOf(folder / "a.tif");
    writeBytes(folder / "cut.tif", bytes.substr(0, 64));
    CHECK(rasterRefusal(folder / "cut.tif").find("cannot be read") != std::string::npos);
    writeBytes(folder / "N53W007.hgt", "too short for a tile");
    CHECK(rasterRefusal(folder / "N53W007.hgt").find("cannot be read") != std::string::npos);
    // Side files are not looked at: they can name other files.
    writeBytes(
        folder / "a.tif.aux.xml",
        "<PAMDataset><Metadata domain=\"OVERVIEWS\"><MDI key=\"OVERVIEW_FILE\">/etc/passwd</MDI></Metadata>"
        "<PAMRasterBand band=\"1\"><NoDataValue>12</NoDataValue></PAMRasterBand></PAMDataset>");
    CHECK(rasterHeadOf(folder / "a.tif").emptyShare == 0);
}

TEST_CASE("a tile of heights by its name is read", "[raster]") {
    const TestFolder folder;
    const double half = 0.5 / 1200;
    writeRaster(folder / "N53W007.hgt", {-7 - half, 54 + half, 1.0 / 1200, 1201, 1201},
                [](PlanePoint p) { return std::round(100 + 50 * (p.y - 53)); },
                {.driver = "SRTMHGT", .epsg = 4326, .type = GDT_Int16});
    const RasterHead head = rasterHeadOf(folder / "N53W007.hgt");
    CHECK(head.format == "HGT");
    CHECK(head.system.epsg == 4326);
    CHECK(*head.least == 100);
    CHECK(*head.most == 150);
    warp(folder / "N53W007.hgt", {head.system, RasterUse::height, kTown, 20, 1}, folder / "out.tif");
    CHECK(readTerrain(folder / "out.tif", 32629).ok());
}
