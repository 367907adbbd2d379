// SPDX-License-Identifier: GPL-3.0-or-later
// Files of the works, read back by other programs' readers: GDAL and a JSON parser.
#include "delivery/export_works.h"
#include "support/places.h"

#include "catch.h"
#include "geo/frame.h"
#include "geo/geodesy.h"
#include "store/folder.h"

#include <gdal.h>
#include <nlohmann/json.hpp>
#include <ogr_api.h>
#include <ogr_srs_api.h>

#include <chrono>
#include <cmath>
#include <filesystem>
#include <memory>
#include <thread>

using namespace fw;

namespace {

namespace fs = std::filesystem;

fs::path folder() {
    const fs::path dir = fw::testing::builtFile("test_files/delivery");
    fs::create_directories(dir);
    return dir;
}

WorksRow rowAt(GeoPoint geo, const std::string& name, double azimuth) {
    const Frame frame = *Frame::fromEpsg(32627);
    WorksRow w;
    w.site = name;
    w.radio = "R-1";
    w.cells = "PM-S104-a";
    w.mountKind = "wall";
    w.support = "wall of Harbour Mill";
    w.geo = geo;
    w.plane = *frame.toPlane(geo);
    w.epsg = 32627;
    w.groundAmsl = 12.4;
    w.heightAgl = 7.2;
    w.azimuthTrueDeg = azimuth;
    w.azimuthGridDeg = frame.toGrid(TrueAzimuth{azimuth}, w.plane).deg;
    w.declinationDeg = -6.31;
    w.azimuthMagneticDeg = wrap360(azimuth + 6.31);
    w.tiltDeg = -2.5;
    w.hBeamDeg = 65;
    w.vBeamDeg = 30;
    w.gainDbi = 8;
    w.powerDbm = 37;
    w.ports = 2;
    w.technology = "LTE";
    w.band = "B3";
    w.channel = "1300";
    w.frequencyMHz = "1815.00";
    w.bandwidthMHz = "20";
    w.pci = "214";
    w.biasDb = "3";
    w.geoUri = "geo:36.9,-20.4";
    w.date = "2026-11-02";
    return w;
}

const char* kNasty = "=2+5,\"quoted\"\r\nسوق 市場 <b>&";

std::vector<WorksRow> rows() {
    return {rowAt({36.9043217, -20.4123459}, kNasty, 214.4), rowAt({36.905, -20.41}, "S-2", 359.97)};
}

// RFC 4180, 2: fields of one file, quotes undone. Written from the text of the RFC, not from the exporter.
std::vector<std::vector<std::string>> parsedCsv(const std::string& text) {
    std::vector<std::vector<std::string>> out(1, std::vector<std::string>(1));
    bool quoted = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (quoted && c == '"' && i + 1 < text.size() && text[i + 1] == '"') {
            out.back().back() += '"';
            ++i;
        } else if (c == '"') {
            quoted = !quoted;
        } else if (!quoted && c == ',') {
            out.back().emplace_back();
        } else if (!quoted && c == '\r' && i + 1 < text.size() && text[i + 1] == '\n') {
            ++i;
            out.emplace_back(1);
        } else {
            out.back().back() += c;
        }
    }
    out.pop_back(); // what follows the last line end
    return out;
}

std::size_t column(const std::string& key) {
    for (std::size_t i = 0; i < worksColumns().size(); ++i)
        if (worksColumns()[i].key == key) return i;
    throw std::runtime_error("no column " + key);
}

struct Closed {
    void operator()(void* d) const { GDALClose(d); }
};
using Opened = std::unique_ptr<void, Closed>;

Opened opened(const fs::path& file, const char* driver) {
    GDALAllRegister();
    const char* drivers[] = {driver, nullptr};
    return Opened(GDALOpenEx(file.string().c_str(), GDAL_OF_VECTOR, drivers, nullptr, nullptr));
}

struct FeatureDeleter {
    void operator()(void* f) const { OGR_F_Destroy(f); }
};
using ReadFeature = std::unique_ptr<void, FeatureDeleter>;

} // namespace

TEST_CASE("CSV follows RFC 4180 and comes back field by field") {
    const auto table = parsedCsv(worksCsv(rows()));
    REQUIRE(table.size() == 3);
    for (const auto& line : table) CHECK(line.size() == worksColumns().size());
    CHECK(table[0][column("azimuth_true_deg")] == "Azimuth true (deg)");
    CHECK(table[1][column("lat_deg")] == "36.9043217");
    CHECK(table[1][column("lon_deg")] == "-20.4123459");
    CHECK(table[1][column("azimuth_true_deg")] == "214.4");
    CHECK(table[1][column("azimuth_magnetic_deg")] == "220.7");
    CHECK(table[2][column("azimuth_true_deg")] == "0.0"); // 359.97 in one decimal
}

TEST_CASE("a text cannot run as a formula in a spreadsheet, and a negative number stays a number") {
    // Common practice: cells that begin with = + - @ tab or return are taken for formulas.
    const auto table = parsedCsv(worksCsv(rows()));
    CHECK(table[1][column("site")] == std::string("'") + kNasty);
    CHECK(table[1][column("tilt_deg")] == "-2.5");
    for (const char* evil : {"=1", "+1", "-1", "@a", "\ta", "\ra"}) {
        WorksRow w = rowAt({36.9, -20.4}, evil, 0);
        CHECK(parsedCsv(worksCsv({w}))[1][column("site")] == std::string("'") + evil);
    }
}

TEST_CASE("every number has its unit in the head of its column") {
    for (const WorksColumn& c : worksColumns())
        if (c.number && c.key != "ports") {
            INFO(c.head);
            CHECK(c.head.find('(') != std::string::npos);
        }
}

TEST_CASE("GeoJSON follows RFC 7946: longitude first, WGS 84 unsaid, numbers as numbers") {
    const auto j = nlohmann::json::parse(worksGeoJson(rows()));
    CHECK(j["type"] == "FeatureCollection");
    CHECK_FALSE(j.contains("crs")); // RFC 7946, 4
    const auto& f = j["features"][0];
    CHECK(f["geometry"]["type"] == "Point");
    CHECK(f["geometry"]["coordinates"][0].get<double>() == Approx(-20.4123459).margin(1e-9));
    CHECK(f["geometry"]["coordinates"][1].get<double>() == Approx(36.9043217).margin(1e-9));
    CHECK(f["properties"]["site"] == kNasty);
    CHECK(f["properties"]["tilt_deg"].is_number());
    CHECK(f["properties"]["epsg"] == 32627);
    CHECK(f["properties"]["consent"].is_null());
    WorksRow broken = rowAt({36.9, -20.4}, "\xff\xfe", 0); // no UTF-8
    CHECK_NOTHROW(nlohmann::json::parse(worksGeoJson({broken})));
}

TEST_CASE("GDAL reads GeoJSON and KML where the radios stand") {
    const auto list = rows();
    REQUIRE(writeWorksGeoJson(folder() / "works.geojson", list).ok());
    REQUIRE(writeWorksKml(folder() / "works.kml", list, "Old <Harbour> & relief").ok());
    for (const auto& [file, driver] : {std::pair{"works.geojson", "GeoJSON"}, {"works.kml", "KML"}}) {
        INFO(driver);
        const Opened d = opened(folder() / file, driver);
        REQUIRE(d);
        OGRLayerH layer = GDALDatasetGetLayer(d.get(), 0);
        REQUIRE(OGR_L_GetFeatureCount(layer, TRUE) == 2);
        for (const WorksRow& w : list) {
            const ReadFeature f(OGR_L_GetNextFeature(layer));
            OGRGeometryH g = OGR_F_GetGeometryRef(f.get());
            if (OGR_G_GetGeometryCount(g) > 0) g = OGR_G_GetGeometryRef(g, 0);
            CHECK(OGR_G_GetX(g, 0) == Approx(w.geo.lonDeg).margin(1e-7));
            CHECK(OGR_G_GetY(g, 0) == Approx(w.geo.latDeg).margin(1e-7));
        }
    }
}

TEST_CASE("the boresight in KML runs along the true azimuth for 100 m") {
    REQUIRE(writeWorksKml(folder() / "bore.kml", rows(), "works").ok());
    const Opened d = opened(folder() / "bore.kml", "KML");
    REQUIRE(d);
    OGRLayerH layer = GDALDatasetGetLayer(d.get(), 0);
    for (const WorksRow& w : rows()) {
        const ReadFeature f(OGR_L_GetNextFeature(layer));
        OGRGeometryH g = OGR_F_GetGeometryRef(f.get());
        REQUIRE(OGR_G_GetGeometryCount(g) == 2);
        OGRGeometryH line = OGR_G_GetGeometryRef(g, 1);
        const auto run =
            geodesic({OGR_G_GetY(line, 0), OGR_G_GetX(line, 0)}, {OGR_G_GetY(line, 1), OGR_G_GetX(line, 1)});
        CHECK(run.distanceM == Approx(100).margin(0.02)); // seven digits: 1.1 cm at either end
        CHECK(std::fabs(wrap180(run.azimuth.deg - w.azimuthTrueDeg)) < 0.02);
    }
}

TEST_CASE("GDAL reads the GeoPackage in the plan's system, with boresights on the ground") {
    const fs::path file = folder() / "works.gpkg";
    REQUIRE(writeWorksGeoPackage(file, rows()).ok());
    const Opened d = opened(file, "GPKG");
    REQUIRE(d);
    OGRLayerH radios = GDALDatasetGetLayerByName(d.get(), "radios");
    REQUIRE(radios);
    CHECK(std::string(OSRGetAuthorityCode(OGR_L_GetSpatialRef(radios), nullptr)) == "32627");
    REQUIRE(OGR_L_GetFeatureCount(radios, TRUE) == 2);
    OGRLayerH lines = GDALDatasetGetLayerByName(d.get(), "boresights");
    REQUIRE(lines);
    const Frame frame = *Frame::fromEpsg(32627);
    for (const WorksRow& w : rows()) {
        const ReadFeature f(OGR_L_GetNextFeature(radios)), l(OGR_L_GetNextFeature(lines));
        OGRGeometryH g = OGR_F_GetGeometryRef(f.get());
        CHECK(OGR_G_GetX(g, 0) == w.plane.x);
        CHECK(OGR_G_GetY(g, 0) == w.plane.y);
        CHECK(OGR_G_GetZ(g, 0) == Approx(19.6));
        CHECK(OGR_F_GetFieldAsString(f.get(), OGR_F_GetFieldIndex(f.get(), "site")) == w.site);
        CHECK(OGR_F_GetFieldAsDouble(f.get(), OGR_F_GetFieldIndex(f.get(), "tilt_deg")) == -2.5);
        OGRGeometryH line = OGR_F_GetGeometryRef(l.get());
        const auto end = frame.toGeo({OGR_G_GetX(line, 1), OGR_G_GetY(line, 1)});
        REQUIRE(end.ok());
        // Against the ellipsoid: distance and true azimuth. The row's grid azimuth is not rounded.
        const auto run = geodesic(w.geo, *end);
        CHECK(run.distanceM == Approx(100).margin(0.001));
        CHECK(std::fabs(wrap180(run.azimuth.deg - w.azimuthTrueDeg)) < 0.01);
    }
}

TEST_CASE("the same works give the same bytes a second later") {
    REQUIRE(writeWorksGeoPackage(folder() / "a.gpkg", rows()).ok());
    std::this_thread::sleep_for(std::chrono::milliseconds(1100));
    REQUIRE(writeWorksGeoPackage(folder() / "b.gpkg", rows()).ok());
    CHECK(testing::bytesOf(folder() / "a.gpkg") == testing::bytesOf(folder() / "b.gpkg"));
    CHECK(worksKml(rows(), "x") == worksKml(rows(), "x"));
}

TEST_CASE("what cannot be written is refused by a sentence and leaves nothing behind") {
    const fs::path nowhere = folder() / "no such folder";
    const auto csv = writeWorksCsv(nowhere / "a.csv", rows());
    REQUIRE_FALSE(csv.ok());
    CHECK(csv.error().code == ErrorCode::cannotWrite);
    const auto onFolder = writeWorksCsv(folder(), rows());
    REQUIRE_FALSE(onFolder.ok());
    CHECK(onFolder.error().code == ErrorCode::cannotWrite);
    CHECK(onFolder.error().text == "This is a folder; name the file to write in it.");
    CHECK_FALSE(writeWorksGeoPackage(nowhere / "a.gpkg", rows()).ok());
    CHECK_FALSE(writeWorksGeoPackage(folder() / "empty.gpkg", {}).ok());
    CHECK_FALSE(fs::exists(folder() / "empty.gpkg"));
    auto mixed = rows();
    mixed[1].epsg = 32628;
    CHECK_FALSE(writeWorksGeoPackage(folder() / "mixed.gpkg", mixed).ok());
    for (const auto& entry : fs::directory_iterator(folder()))
        CHECK(entry.path().string().find(".part") == std::string::npos);
}
