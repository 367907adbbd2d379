// SPDX-License-Identifier: GPL-3.0-or-later
// Writes what the fuzz targets begin with: small plans of small pages, edits of every kind, tables, values,
// and files that are taken in.
#include "gpkg/geometry.h"
#include "intake/geojson_text.h"
#include "intake/trap_files.h"
#include "intake/zip_bytes.h"
#include "store/folder.h"
#include "store/plan_file.h"
#include "support/random_plan.h"

#include <cstdio>
#include <filesystem>
#include <sqlite3.h>

using namespace fw;
using namespace fw::testing;
namespace fs = std::filesystem;

namespace {

bool shrink(const fs::path& file) {
    sqlite3* db = nullptr;
    bool good = sqlite3_open(file.c_str(), &db) == SQLITE_OK;
    good = good && sqlite3_exec(db, "PRAGMA page_size=512; VACUUM", nullptr, nullptr, nullptr) == SQLITE_OK;
    sqlite3_close(db);
    return good;
}

bool writePlan(const Plan& plan, const fs::path& file) {
    fs::remove(file);
    if (savePlan(plan, file).ok() && shrink(file)) return true;
    std::fputs("A seed cannot be written.\n", stderr);
    return false;
}

// Tables of every kind that the reader tells apart; the first byte is the choice of options.
bool writeTables(const fs::path& folder) {
    using namespace std::string_literals;
    fs::create_directories(folder);
    const std::string tables[] = {
        "cell,site,use\r\nPM01-1,PM01,0.71\r\nPM01-2,PM01,0.5\r\n",
        "Merrow Mobile\nDay 2026-04-13\n\ncell;hour;use\nA;2026-04-06 00:00;12,5\nA;2026-04-06 01:00;1,5\n",
        "sep=;\ncell;remark;\nP1;\"the \"\"old\"\" pole\";\nP2;\"two\nlines\";\n",
        "cell\tlat\tlon\nA\t53,1\t6,1\nB\t53,2\nC\t53\t6\t7\n",
        "cell,0,1,2,3\nA,120,300,44,2\nB,80,20,4,1\n",
        "PM01-1|53.1|6.1\nPM01-2|53.2|6.2\n",
        "cell,use,use,,\nA,\"open,1\nB,\"fine, too\",2\nC,\"5\" pole\",3\n,,\ncell,use,use,,\n",
        "\357\273\277cell;stra\303\237e\nA;\374\n",
        "\377\376c\0e\0l\0l\0;\0h\0\n\0A\0;\0001\0\n\0"s,
        "\0c\0e\0l\0l\0;\0h\0\n\0A\0;\0001\0\n"s,
        "cell;name\nA;Stra\337e\nB;\200\222\n",
    };
    int k = 0;
    for (const std::string& table : tables)
        for (const char choice : {'\0', '\x48', '\x9C'})
            writeBytes(folder / std::to_string(k++), choice + table);
    return k > 0;
}

bool writeValues(const fs::path& folder) {
    fs::create_directories(folder);
    const char* values[] = {"1,234.5",
                            "1.234,5\n0,5",
                            "1\u202f234,5",
                            "-1.5e-3",
                            "\u22127",
                            "40ft",
                            "71 %",
                            "53\u00b020'41.5\"N",
                            "-6:15:10",
                            "N53.3448",
                            "33d51m31s S",
                            "10 O",
                            "2026-03-29T14:00:00+01:00",
                            "29.03.2026 14\n13.04.2026",
                            "03/29/2026 2:00 PM",
                            "46110.5833",
                            "1774792800",
                            "2026032914",
                            "29-MAR-26 02.00.00 PM",
                            "2026-03-29 14:00-15:00",
                            "2026-10-25 02:00 CEST",
                            "Mar 29, 2026",
                            "yes"};
    int k = 0;
    for (const char* value : values) writeBytes(folder / std::to_string(k++), value);
    return k > 0;
}

void writeIntake(const fs::path& folder, const fs::path& plans) {
    for (const char* name : {"geojson", "package", "gate"}) fs::create_directories(folder / name);
    for (std::uint64_t seed = 1; seed <= 30; ++seed)
        writeBytes(folder / "geojson" / std::to_string(seed),
                   GeoJsonText(seed).collection(static_cast<int>(seed % 5)));
    writeBytes(folder / "geojson" / "lines",
               GeoJsonText(31).feature() + "\n\x1e" + GeoJsonText(32).feature());
    const PlanePoint p{680000, 5910000};
    const Line line{p, {680010, 5910010}, {680020, 5910000}};
    const std::string one = geometryBytes(p, 1), polygon = geometryBytes(Polygon{line, {line}}, 1);
    writeBytes(folder / "package" / "point", one);
    writeBytes(folder / "package" / "line", geometryBytes(line, 1));
    writeBytes(folder / "package" / "polygon", polygon);
    // Collections hold what stands behind the header of their parts, of 8 and of 40 bytes.
    for (const char type : {'\4', '\6', '\7'})
        writeBytes(folder / "package" / ("many" + std::to_string(type)),
                   one.substr(0, 8) + '\1' + type + std::string("\0\0\0\2\0\0\0", 7) + polygon.substr(40) +
                       one.substr(8));
    for (const auto& plan : fs::directory_iterator(plans))
        fs::copy_file(plan.path(), folder / "package" / plan.path().filename(),
                      fs::copy_options::overwrite_existing);
    writeBytes(folder / "gate" / "zip", zipOf({{"a/doc.kml", kmlOf(kPlacemark)}, {"b.png", "x", 7, 1}}));
    writeBytes(folder / "gate" / "kml", kmlOf(kPlacemark));
    writeBytes(folder / "gate" / "gml", gmlOf("", kGmlPoint));
    writeBytes(folder / "gate" / "vrt", "<?xml version=\"1.0\"?><!-- a --><VRTDataset/>");
}

// Two by two pixels (ISO/IEC 15948).
constexpr const char* kPng =
    "89504E470D0A1A0A0000000D4948445200000002000000020802000000FDD49A73000000114944415478DA63F8CFC0C0"
    "F01F8C8018001DF003FDAE3FE2380000000049454E44AE426082";

bool writeSet(const fs::path& file, const std::string& statements) {
    fs::remove(file);
    sqlite3* db = nullptr;
    bool good = sqlite3_open(file.c_str(), &db) == SQLITE_OK;
    good = good && sqlite3_exec(db, ("PRAGMA page_size=512;" + statements).c_str(), nullptr, nullptr,
                                nullptr) == SQLITE_OK;
    sqlite3_close(db);
    if (!good) std::fputs("A set of tiles cannot be written.\n", stderr);
    return good;
}

// Sets of tiles as MBTiles 1.3 and OGC 12-128r18, 2.2 have them, over the sample's corner of the world.
bool writeTiles(const fs::path& folder) {
    fs::create_directories(folder);
    std::string png;
    for (const char* h = kPng; *h; h += 2)
        png += static_cast<char>(std::stoi(std::string(h, 2), nullptr, 16));
    writeBytes(folder / "png", png);
    writeBytes(folder / "jpeg", "\xff\xd8\xff\xe0");
    writeBytes(folder / "webp", std::string("RIFF\x24\0\0\0WEBPVP8 ", 16));
    const std::string blob = std::string("x'") + kPng + "'";
    const std::string tiles = "INSERT INTO tiles VALUES(10,454,624," + blob + ");";
    const std::string about = "CREATE TABLE metadata(name TEXT,value TEXT);INSERT INTO metadata "
                              "VALUES('attribution','&copy; <b>Merrow</b> &amp; daughters');";
    return writeSet(folder / "joined.mbtiles",
                    about +
                        "CREATE TABLE map(zoom_level INTEGER,tile_column INTEGER,tile_row INTEGER,tile_id "
                        "TEXT);CREATE TABLE images(tile_data BLOB,tile_id TEXT);"
                        "INSERT INTO images VALUES(" +
                        blob + ",'a');INSERT INTO map VALUES(9,227,312,'a'),(10,454,624,'a');") &&
           writeSet(
               folder / "set.mbtiles",
               "CREATE TABLE metadata(name TEXT,value TEXT);CREATE TABLE tiles(zoom_level "
               "INTEGER,tile_column INTEGER,"
               "tile_row INTEGER,tile_data BLOB);INSERT INTO metadata VALUES('name','Quay'),('format','png'),"
               "('minzoom','10'),('maxzoom','10'),('bounds','-20.5,36.8,-20.2,37.0'),('attribution','<a>"
               "Merrow</a>');" +
                   tiles) &&
           writeSet(
               folder / "set.gpkg",
               "PRAGMA application_id=1196444487;PRAGMA user_version=10300;"
               "CREATE TABLE gpkg_spatial_ref_sys(srs_name TEXT,srs_id INTEGER PRIMARY KEY,organization TEXT,"
               "organization_coordsys_id INTEGER,definition TEXT,description TEXT);"
               "INSERT INTO gpkg_spatial_ref_sys VALUES('UTM 27N',32627,'EPSG',32627,'undefined','');"
               "CREATE TABLE gpkg_contents(table_name TEXT PRIMARY KEY,data_type TEXT,identifier "
               "TEXT,description TEXT,"
               "last_change TEXT,min_x REAL,min_y REAL,max_x REAL,max_y REAL,srs_id INTEGER);"
               "INSERT INTO gpkg_contents "
               "VALUES('quay','tiles','quay','','',553000,4084000,553512,4084512,32627);"
               "CREATE TABLE gpkg_tile_matrix_set(table_name TEXT PRIMARY KEY,srs_id INTEGER,min_x "
               "REAL,min_y REAL,max_x "
               "REAL,max_y REAL);INSERT INTO gpkg_tile_matrix_set "
               "VALUES('quay',32627,553000,4084000,553512,4084512);"
               "CREATE TABLE gpkg_tile_matrix(table_name TEXT,zoom_level INTEGER,matrix_width "
               "INTEGER,matrix_height "
               "INTEGER,tile_width INTEGER,tile_height INTEGER,pixel_x_size REAL,pixel_y_size REAL);"
               "INSERT INTO gpkg_tile_matrix VALUES('quay',0,2,2,256,256,1,1);"
               "CREATE TABLE quay(id INTEGER PRIMARY KEY,zoom_level INTEGER,tile_column INTEGER,tile_row "
               "INTEGER,"
               "tile_data BLOB);INSERT INTO quay VALUES(1,0,0,0," +
                   blob + "),(2,0,1,1," + blob + ");");
}

} // namespace

int main(int argc, char** argv) {
    if (argc != 2) return 2;
    const fs::path plans = fs::path(argv[1]) / "open_plan", edits = fs::path(argv[1]) / "edit";
    if (!writeTables(fs::path(argv[1]) / "text_table") || !writeValues(fs::path(argv[1]) / "values") ||
        !writeTiles(fs::path(argv[1]) / "tiles"))
        return 1;
    fs::create_directories(plans);
    fs::create_directories(edits);
    Random random(1);
    RandomPlanSpec spec;
    spec.buildings = 3;
    spec.sites = 1;
    spec.mounts = 2;
    spec.trees = 2;
    if (!writePlan({}, plans / "empty.gpkg")) return 1;
    for (int k = 0; k < 3; ++k) {
        Plan plan = randomPlan(random, spec);
        for (int kind = 0; kind < kEditKinds; ++kind) {
            const Edit edit = randomEdit(plan, random, static_cast<EditKind>(kind));
            const auto bytes = toBytes(edit);
            writeBytes(edits / (std::to_string(k) + "-" + std::to_string(kind)),
                       {bytes.begin(), bytes.end()});
            if (!apply(plan, edit)) return 1;
        }
        if (!writePlan(plan, plans / (std::to_string(k) + ".gpkg"))) return 1;
    }
    writeIntake(argv[1], plans);
    return 0;
}
