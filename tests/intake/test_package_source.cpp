// SPDX-License-Identifier: GPL-3.0-or-later
// The reader of GeoPackage layers beside GDAL's, and on packages made to catch it.
#include "catch.h"
#include "intake/ogr_files.h"
#include "intake/package_shape.h"
#include "intake/package_source.h"
#include "intake/rows.h"
#include "intake/vector_source.h"
#include "store/child.h"
#include "store/folder.h"

#include <sqlite3.h>

using namespace fw;
using namespace fw::testing;
namespace fs = std::filesystem;

namespace {

std::unique_ptr<OGRGeometry> randomGeometry(Random& random, int depth) {
    const auto place = [&] { return OGRPoint(random.between(6e5, 7e5), random.between(5.8e6, 6e6)); };
    const auto line = [&](OGRSimpleCurve& to, int least) {
        for (std::uint32_t n = static_cast<std::uint32_t>(least) + random.below(6); n > 0; --n) {
            const OGRPoint p = place();
            to.addPoint(&p);
        }
    };
    const auto area = [&] {
        auto p = std::make_unique<OGRPolygon>();
        for (std::uint32_t n = 1 + random.below(3); n > 0; --n) {
            auto ring = std::make_unique<OGRLinearRing>();
            line(*ring, 3);
            ring->closeRings();
            p->addRingDirectly(ring.release());
        }
        return p;
    };
    switch (random.below(depth < 2 ? 10 : 8)) {
    case 0:
        return std::make_unique<OGRPoint>(place());
    case 1: {
        auto g = std::make_unique<OGRLineString>();
        line(*g, 2);
        return g;
    }
    case 2:
        return area();
    case 3: {
        auto g = std::make_unique<OGRMultiPolygon>();
        for (std::uint32_t n = 1 + random.below(3); n > 0; --n) g->addGeometryDirectly(area().release());
        return g;
    }
    case 4: {
        auto g = std::make_unique<OGRMultiPoint>();
        for (std::uint32_t n = 1 + random.below(3); n > 0; --n) {
            const OGRPoint p = place();
            g->addGeometry(&p);
        }
        return g;
    }
    case 5: {
        auto g = std::make_unique<OGRMultiLineString>();
        OGRLineString one;
        line(one, 2);
        g->addGeometry(&one);
        g->addGeometry(&one);
        return g;
    }
    case 6: {
        auto g = std::make_unique<OGRCircularString>();
        for (int k = 0; k < 3; ++k) g->addPoint(680000 + 10 * k, 5910000 + 10 * (k % 2));
        return g;
    }
    case 7:
        return random.chance(0.5) ? std::unique_ptr<OGRGeometry>(new OGRPolygon)
                                  : std::unique_ptr<OGRGeometry>(new OGRPoint);
    default: {
        auto g = std::make_unique<OGRGeometryCollection>();
        for (std::uint32_t n = 1 + random.below(3); n > 0; --n)
            g->addGeometryDirectly(randomGeometry(random, depth + 1).release());
        return g;
    }
    }
}

void writeAllKinds(const fs::path& file, std::uint64_t seed) {
    Random random(seed);
    const WrittenFile data = createFile("GPKG", file);
    OGRLayer& layer = addLayer(*data, "all", 32629, wkbUnknown);
    OGRFieldDefn yes("yes", OFTInteger), day("day", OFTDate), when("when", OFTDateTime),
        big("big", OFTInteger64);
    OGRFieldDefn raw("raw", OFTBinary), real("odd \"name\"", OFTReal);
    yes.SetSubType(OFSTBoolean);
    for (OGRFieldDefn* field : {&yes, &day, &when, &big, &raw, &real})
        REQUIRE(layer.CreateField(field) == OGRERR_NONE);
    for (int k = 0; k < 300; ++k) {
        OGRFeature f(layer.GetLayerDefn());
        const auto set = [&](const char* name, auto value) {
            if (random.chance(0.8)) f.SetField(f.GetFieldIndex(name), value);
        };
        set("name", random.chance(0.1) ? "" : "  \xc3\x9f 'x' ");
        set("height", random.between(-1e6, 1e6));
        set("storeys", static_cast<int>(random.below(1000)));
        set("yes", static_cast<int>(random.below(2)));
        set("day", "2026/03/29");
        set("when", random.chance(0.5) ? "2026/03/29 14:05:06+00" : "2026/03/29 14:05:06.25+00");
        set("big", random.chance(0.3) ? GIntBig{9223372036854775806} : GIntBig{-5});
        set("odd \"name\"", random.unit());
        if (random.chance(0.95)) {
            auto g = randomGeometry(random, 0);
            if (random.chance(0.3)) g->set3D(TRUE);
            if (random.chance(0.2)) g->setMeasured(TRUE);
            f.SetGeometry(g.get());
        }
        REQUIRE(layer.CreateFeature(&f) == OGRERR_NONE);
    }
}

void runSql(const fs::path& file, const std::string& sql) {
    sqlite3* db = nullptr;
    REQUIRE(sqlite3_open(file.c_str(), &db) == SQLITE_OK);
    char* said = nullptr;
    sqlite3_exec(db, sql.c_str(), nullptr, nullptr, &said);
    INFO((said ? said : ""));
    CHECK(said == nullptr);
    sqlite3_free(said);
    sqlite3_close(db);
}

std::string layerOpening(const fs::path& file, const std::string& layer = {}) {
    SourceOptions options;
    options.layer = layer;
    const auto source = openSource(file, options);
    return source ? "opens" : source.error().sentence();
}

void writeSome(const fs::path& file, int n = 5) {
    Random random(4);
    writeFile("GPKG", file, 32629, randomFootprints(random, n, {680000, 5910000}, 500, 8),
              {"SPATIAL_INDEX=NO"});
}

} // namespace

TEST_CASE("random packages give the rows that GDAL gives", "[package]") {
    const TestFolder folder;
    for (std::uint64_t seed = 1; seed <= 8; ++seed) {
        const fs::path file = folder / ("p" + std::to_string(seed) + ".gpkg");
        writeAllKinds(file, seed);
        const auto admitted = admitFile(file);
        REQUIRE(admitted.ok());
        const auto ours = openSource(file);
        const auto theirs = openVectorSource(*admitted, {});
        REQUIRE(ours.ok());
        REQUIRE(theirs.ok());
        const SourceHead &head = (*ours)->head(), &other = (*theirs)->head();
        CHECK(head.epsg == other.epsg);
        CHECK(head.wkt == other.wkt);
        CHECK(head.rowCount == other.rowCount);
        CHECK(head.shapes == other.shapes);
        REQUIRE(head.columns.size() == other.columns.size());
        for (std::size_t k = 0; k < head.columns.size(); ++k) {
            CHECK(head.columns[k].name == other.columns[k].name);
            CHECK(head.columns[k].numeric == other.columns[k].numeric);
            CHECK(head.columns[k].samples == other.columns[k].samples);
        }
        const auto read = rowsOf(**ours), expected = rowsOf(**theirs);
        INFO("seed " << seed);
        REQUIRE(read.size() == expected.size());
        for (std::size_t k = 0; k < read.size(); ++k)
            CHECK(textOf(head, read[k]) == textOf(other, expected[k]));
    }
}

TEST_CASE("a geometry that is broken is a fault of its row", "[package]") {
    using namespace std::string_literals;
    const auto faultOf = [](const std::string& bytes) {
        SourceShape shape;
        shapeFromPackage(bytes, shape);
        CHECK(shape.empty() == !shape.fault.empty());
        return shape.fault;
    };
    const std::string head = "GP\0\1\0\0\0\0"s, one("\0\0\0\0\0\0\xf0\x3f", 8),
                      nan("\0\0\0\0\0\0\xf8\x7f", 8);
    CHECK(faultOf("") == "it has no geometry");
    CHECK(faultOf("GP") == "its geometry is not in the form of a GeoPackage");
    CHECK(faultOf("XX\0\1\0\0\0\0\1"s) == "its geometry is not in the form of a GeoPackage");
    CHECK(faultOf(head + "\1\1\0\0\0"s + one + one).empty());
    CHECK(faultOf(head + "\1\1\0\0\0"s + one) == "its bytes end too early");
    CHECK(faultOf(head + "\1\1\0\0\0"s + nan + nan) == "its geometry is empty");
    CHECK(faultOf(head + "\1\1\0\0\0"s + nan + one) == "one of its coordinates is not a number");
    CHECK(faultOf(head + "\0\0\0\0\1\x3f\xf0\0\0\0\0\0\0\x3f\xf0\0\0\0\0\0\0"s)
              .empty()); // the other byte order
    CHECK(faultOf(head + "\1\2\0\0\0\xff\xff\xff\xff"s) == "its bytes end too early");
    CHECK(faultOf(head + "\1\3\0\0\0\1\0\0\0\2\0\0\0"s + one + one + one + nan) ==
          "one of its coordinates is not a number");
    CHECK(faultOf(head + "\1\3\0\0\0\1\0\0\0\2\0\0\0"s + one + one + one + one) ==
          "its outline has fewer than three corners");
    CHECK(faultOf(head + "\1\2\0\0\0\1\0\0\0"s + one + one) == "its line has fewer than two places");
    CHECK(faultOf(head + "\1\x63\0\0\0"s) == "its geometry is of a kind that is not read");
    std::string deep = head;
    for (int k = 0; k < 100; ++k) deep += "\1\7\0\0\0\1\0\0\0"s;
    CHECK(faultOf(deep) == "its collections are nested too deeply");
}

TEST_CASE("nothing that a package carries is computed", "[package]") {
    const TestFolder folder;
    const fs::path file = folder / "a.gpkg";
    writeSome(file);
    SECTION("a view that poses as a layer") {
        runSql(file,
               "CREATE VIEW v AS SELECT * FROM buildings; INSERT INTO gpkg_contents (table_name, data_type) "
               "VALUES ('v','features'); INSERT INTO gpkg_geometry_columns VALUES "
               "('v','geom','POLYGON',32629,0,0)");
        CHECK(layerOpening(file) == "opens");
        CHECK(layerOpening(file, "v").find("computed when it is looked at") != std::string::npos);
        CHECK(layersOf(file)->size() == 1);
    }
    SECTION("a view in the place of the layer") {
        runSql(file, "ALTER TABLE buildings RENAME TO b; CREATE VIEW buildings AS SELECT * FROM b");
        runSql(file, "UPDATE gpkg_contents SET table_name='buildings'; UPDATE gpkg_geometry_columns SET "
                     "table_name='buildings'");
        CHECK(layerOpening(file).find("computed, or pictures") != std::string::npos);
    }
    SECTION("a virtual table") {
        runSql(file,
               "CREATE VIRTUAL TABLE f USING fts5(x); INSERT INTO gpkg_contents (table_name, data_type) "
               "VALUES ('f','attributes')");
        CHECK(layerOpening(file, "f").find("computed when it is looked at") != std::string::npos);
    }
    SECTION("a view in the place of the list of layers") {
        runSql(file, "ALTER TABLE gpkg_contents RENAME TO c; CREATE VIEW gpkg_contents AS SELECT * FROM c");
        CHECK(layerOpening(file).find("no list of layers") != std::string::npos);
    }
    SECTION("a column made from others is left out") {
        runSql(file, "ALTER TABLE buildings ADD COLUMN twice REAL AS (height * 2)");
        const auto source = openSource(file);
        REQUIRE(source.ok());
        for (const SourceColumn& column : (*source)->head().columns) CHECK(column.name != "twice");
    }
    SECTION("a column that says another type than it holds") {
        runSql(file, "UPDATE buildings SET height='12 "
                     "m' WHERE fid=2");
        const auto source = openSource(file);
        REQUIRE(source.ok());
        CHECK(textOf((*source)->head(), rowsOf(**source)[1]).find("height=\"12 m\"") != std::string::npos);
    }
    SECTION("a system that is none") {
        runSql(file, "UPDATE gpkg_geometry_columns SET srs_id=0");
        const auto source = openSource(file);
        REQUIRE(source.ok());
        CHECK((*source)->head().wkt.empty());
        CHECK((*source)->head().notes.back().find("does not say which coordinate system") !=
              std::string::npos);
    }
    SECTION("cut off") {
        const std::string bytes = bytesOf(file);
        writeBytes(file, bytes.substr(0, bytes.size() / 2));
        CHECK(layerOpening(file) != "opens");
        writeBytes(file, bytes.substr(0, 200));
        CHECK(layerOpening(file) != "opens");
    }
}

TEST_CASE("reading a package that somebody is writing leaves their lock alone", "[package]") {
    const TestFolder folder;
    const fs::path file = folder / "a.gpkg";
    writeSome(file);
    // Made before anything is open here: a copy of this process would know of the lock without the file.
    Child another([&](Pipe& out, Pipe& in) {
        while (in.get() == '?') {
            sqlite3* db = nullptr;
            sqlite3_open(file.c_str(), &db);
            const int got = sqlite3_exec(db, "BEGIN IMMEDIATE", nullptr, nullptr, nullptr);
            sqlite3_close(db);
            out.put(got == SQLITE_OK ? 'y' : 'n');
        }
    });
    const auto anotherCanWrite = [&] {
        another.put('?');
        return another.get() == 'y';
    };
    CHECK(anotherCanWrite());
    sqlite3* writer = nullptr;
    REQUIRE(sqlite3_open(file.c_str(), &writer) == SQLITE_OK);
    REQUIRE(sqlite3_exec(writer, "BEGIN IMMEDIATE", nullptr, nullptr, nullptr) == SQLITE_OK);
    CHECK_FALSE(anotherCanWrite());
    {
        const auto source = openSource(file);
        REQUIRE(source.ok());
        CHECK(rowsOf(**source).size() == 5);
        CHECK(layersOf(file).ok());
    }
    CHECK_FALSE(anotherCanWrite());
    (void)bytesOf(file); // what any other reader does
    CHECK(anotherCanWrite());
    sqlite3_close(writer);
}
