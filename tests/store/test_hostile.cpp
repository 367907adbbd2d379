// SPDX-License-Identifier: GPL-3.0-or-later
// Plan files made to harm whoever opens them: each is refused by a sentence, or opened where the thing is no
// danger, within 2 s of processor time and 500 MiB. Every file is made here, with the SQLite C library or
// GDAL.
#include "catch.h"
#include "store/bounded_child.h"
#include "store/folder.h"
#include "store/other_program.h"
#include "store/plan_check.h"
#include "store/plan_file.h"
#include "store/plan_terrain.h"
#include "support/random_plan.h"

#include <fcntl.h>
#include <gdal_priv.h>
#include <ogr_spatialref.h>
#include <unistd.h>

using namespace fw;
using namespace fw::testing;
namespace fs = std::filesystem;

namespace {

constexpr double kMostMiB = 500;

// A village of which each test breaks a copy of its own.
const std::string& village() {
    static const std::string bytes = [] {
        const TestFolder folder;
        Random random(61);
        RandomPlanSpec spec;
        spec.buildings = 30;
        spec.mounts = 3;
        spec.trees = 8;
        REQUIRE(savePlan(randomPlan(random, spec), folder / "plan.gpkg").ok());
        return bytesOf(folder / "plan.gpkg");
    }();
    return bytes;
}

fs::path villageIn(const TestFolder& folder) {
    writeBytes(folder / "hostile.gpkg", village());
    return folder / "hostile.gpkg";
}

// What opening says, by a child with bounds; "opens" when it does.
std::string opening(const fs::path& file) {
    const Bounded ran = inBoundedChild([&] {
        const auto open = openPlan(file);
        return open ? std::string("opens") : open.error().sentence();
    });
    WARN(file.filename().string() << ": " << ran.peakMiB << " MiB, " << ran.seconds
                                  << " s: " << ran.said.substr(0, 160));
    CHECK(ran.ended);
    if (Bounded::limited()) CHECK(ran.peakMiB < kMostMiB);
    CHECK(ran.said.size() > 4);
    CHECK(ran.said.size() < 2000);
    // An exception's own words are no sentence.
    CHECK(ran.said.find("std::") == std::string::npos);
    CHECK(ran.said.find("bad_alloc") == std::string::npos);
    return ran.said;
}

void checkRefused(const fs::path& file, const std::string& part) {
    const std::string said = opening(file);
    INFO(said);
    CHECK(said != "opens");
    CHECK(said.find(part) != std::string::npos);
}

// The schema's own entries, changed past all checks of the library.
std::string inSchema(const std::string& change) {
    return "PRAGMA writable_schema=ON; " + change + "; PRAGMA writable_schema=RESET;";
}

} // namespace

TEST_CASE("schemas that would compute are refused", "[hostile]") {
    struct Case {
        const char* name;
        std::string sql, part;
    };
    const std::string costly = "length(hex(zeroblob(60000000)))";
    const Case cases[] = {
        {"view", "ALTER TABLE trees RENAME TO old; CREATE VIEW trees AS SELECT * FROM old",
         "trees is missing"},
        {"recursive view",
         "DROP TABLE trees; CREATE VIEW trees AS WITH RECURSIVE n(fid) AS (SELECT 1 UNION ALL SELECT fid+1 "
         "FROM n) "
         "SELECT fid, fid AS uid, NULL AS geom, 3 AS crown_radius_m, 8 AS top_m, 2 AS crown_bottom_m FROM n",
         "trees is missing"},
        {"virtual table", "DROP TABLE trees; CREATE VIRTUAL TABLE trees USING rtree(uid, a, b)",
         "virtual table"},
        {"full text", "DROP TABLE trees; CREATE VIRTUAL TABLE trees USING fts5(uid, geom)", "virtual table"},
        {"virtual settings", "DROP TABLE settings; CREATE VIRTUAL TABLE settings USING fts5(name, value)",
         "virtual table"},
        {"virtual meta",
         "DROP TABLE fringewright_meta; CREATE VIRTUAL TABLE fringewright_meta USING fts5(name, value)",
         "not a plan"},
        {"meta as view",
         "ALTER TABLE fringewright_meta RENAME TO m; CREATE VIEW fringewright_meta AS WITH RECURSIVE n(v) AS "
         "(SELECT 1 "
         "UNION ALL SELECT v+1 FROM n) SELECT 'schema_version' AS name, v AS value FROM n WHERE v < 0",
         "not a plan"},
        {"unknown module",
         inSchema("UPDATE sqlite_master SET sql='CREATE VIRTUAL TABLE trees USING nobody(a)', rootpage=0 "
                  "WHERE name='trees'; DELETE FROM sqlite_master WHERE type='index' AND tbl_name='trees'"),
         "virtual table"},
        {"generated", "ALTER TABLE trees ADD COLUMN sum INT AS (" + costly + ")", "computed from others"},
        {"generated in place",
         "ALTER TABLE trees DROP COLUMN top_m; ALTER TABLE trees ADD COLUMN top_m REAL AS (" + costly + ")",
         "computed from others"},
        {"check",
         inSchema("UPDATE sqlite_master SET sql=substr(sql, 1, length(sql) - 1) || ', CHECK (" + costly +
                  " > 0))' WHERE name='trees'"),
         "a rule (CHECK)"},
        {"default", "ALTER TABLE trees ADD COLUMN more INT", ""},
        {"computed default",
         inSchema("UPDATE sqlite_master SET sql=substr(sql, 1, length(sql) - 1) || ', more INT DEFAULT (" +
                  costly + "))' WHERE name='trees'"),
         "a default that would be computed"},
        {"conflict clause",
         inSchema("UPDATE sqlite_master SET sql=replace(sql, 'UNIQUE', 'UNIQUE ON CONFLICT IGNORE') "
                  "WHERE name='trees'"),
         "conflict clause"},
        {"index", "CREATE INDEX i ON trees (" + costly + ", uid)", "is computed from the columns"},
        {"partial index", "CREATE UNIQUE INDEX i ON trees (uid) WHERE " + costly + " > 0",
         "a part of the rows"},
        {"trigger", "CREATE TRIGGER t AFTER UPDATE ON mounts BEGIN DELETE FROM trees; END",
         "the trigger \"t\""},
        {"trigger that looks up",
         "CREATE TRIGGER t AFTER INSERT ON mounts BEGIN INSERT INTO rtree_x SELECT * FROM sqlite_master; END",
         "the trigger \"t\""},
        {"trigger on contents",
         "CREATE TRIGGER t AFTER UPDATE ON gpkg_contents BEGIN UPDATE mounts SET height_m=0; END",
         "the trigger \"t\""},
    };
    for (const Case& each : cases) {
        INFO(each.name);
        const TestFolder folder;
        const auto file = villageIn(folder);
        OtherProgram(file).run(each.sql);
        if (each.part.empty())
            CHECK(opening(file) == "opens");
        else
            checkRefused(file, each.part);
    }
}

TEST_CASE("what other programs keep for themselves is no danger and opens", "[hostile]") {
    const std::pair<const char*, std::string> cases[] = {
        {"views on one another", "CREATE VIEW a AS SELECT * FROM b; CREATE VIEW b AS SELECT * FROM a"},
        {"endless view", "CREATE VIEW endless AS WITH RECURSIVE n(v) AS (SELECT 1 UNION ALL SELECT v+1 FROM "
                         "n) SELECT v FROM n"},
        {"spatial index",
         "CREATE VIRTUAL TABLE rtree_mounts_geom USING rtree(id, minx, maxx, miny, maxy);"
         "CREATE TRIGGER rtree_mounts_geom_delete AFTER DELETE ON mounts WHEN OLD.geom NOT NULL BEGIN "
         "DELETE FROM rtree_mounts_geom WHERE id = OLD.fid; END"},
        {"rules of their own", "CREATE TABLE other (a INT CHECK (length(hex(zeroblob(30000000))) > 0), b INT "
                               "AS (length(hex(zeroblob(30000000)))));"
                               "PRAGMA ignore_check_constraints=ON; INSERT INTO other (a) VALUES (1), (2), "
                               "(3), (4), (5), (6), (7), (8), (9)"},
        {"huge blob", "CREATE TABLE other (a BLOB); INSERT INTO other VALUES (zeroblob(200000000))"},
        {"plain index", "CREATE INDEX i ON trees (top_m COLLATE BINARY DESC, uid)"},
    };
    for (const auto& [name, sql] : cases) {
        INFO(name);
        const TestFolder folder;
        const auto file = villageIn(folder);
        OtherProgram(file).run(sql);
        CHECK(opening(file) == "opens");
        const auto report = checkPlanFile(file);
        CHECK((report && report->sound()));
    }
}

TEST_CASE("values out of all proportion are refused", "[hostile]") {
    struct Case {
        const char* name;
        std::string sql, part;
    };
    const std::string one = " WHERE uid=(SELECT min(uid) FROM ";
    const Case cases[] = {
        {"huge blob", "UPDATE buildings SET geom=zeroblob(900000000)" + one + "buildings)",
         "larger than any"},
        {"large blob", "UPDATE buildings SET geom=zeroblob(60000000)" + one + "buildings)",
         "geometry is broken"},
        {"large text", "UPDATE mounts SET owner=hex(zeroblob(30000000))" + one + "mounts)",
         "longer than 10000 bytes"},
        {"long list",
         "UPDATE mounts SET tilts_deg='[' || replace(hex(zeroblob(15000000)), '0', '1,') || '1]'" + one +
             "mounts)",
         "not a list"},
        {"nested list",
         "UPDATE mounts SET tilts_deg=replace(hex(zeroblob(10000000)), '0', '[')" + one + "mounts)",
         "not a list"},
        {"many subjects",
         "INSERT INTO standing (uid, rule, reason, subjects, measured, limit_value) VALUES (900, 'r', 'x', "
         "'[' "
         "|| "
         "replace(hex(zeroblob(20000)), '0', '7,') || '7]', 0, 0)",
         "list of subjects"},
        {"huge number", "UPDATE mounts SET height_m=1e308", "height is 1e+308"},
        {"far away",
         "UPDATE trees SET geom=CAST(substr(geom, 1, 13) || x'ffffffffffffef7f' || substr(geom, 22) AS BLOB)",
         "position"},
        {"no number", "UPDATE mounts SET height_m='NaN'", "height_m is not a number"},
        {"no number in a list", "UPDATE mounts SET tilts_deg='[nan,inf,-nan]'", "allowed tilt"},
        {"no number in settings", "UPDATE settings SET value='nan' WHERE name='trigger_use'",
         "trigger use is nan"},
        {"2^63", "UPDATE cells SET ports=9223372036854775807, pci=-9223372036854775808",
         "ports is not a whole number"},
        {"uid 2^63", "UPDATE trees SET uid=9223372036854775807" + one + "trees)", "uid cannot name an item"},
        {"counter", "UPDATE fringewright_meta SET value=9223372036854775807 WHERE name='last_id'",
         "highest item number"},
        {"huge setting", "UPDATE settings SET value=hex(zeroblob(20000000)) WHERE name='author'",
         "author is longer"},
        {"huge count of settings",
         "WITH RECURSIVE n(v) AS (SELECT 1 UNION ALL SELECT v+1 FROM n WHERE v < 5000000) INSERT INTO "
         "settings (name, value) "
         "SELECT 'limit x' || v, '1' FROM n",
         "more than 10000 rows"},
        {"own subject",
         "INSERT INTO standing (uid, rule, reason, subjects, measured, limit_value) VALUES (901, 'r', 'x', "
         "'[901]', 0, 0);"
         "UPDATE radios SET mount=uid",
         "must be a mount"},
    };
    for (const Case& each : cases) {
        INFO(each.name);
        const TestFolder folder;
        const auto file = villageIn(folder);
        OtherProgram(file).run(each.sql);
        checkRefused(file, each.part);
    }
}

TEST_CASE("findings that name each other open; nobody follows them round", "[hostile]") {
    const TestFolder folder;
    const auto file = villageIn(folder);
    OtherProgram(file).run(
        "INSERT INTO standing (uid, rule, subjects, variant, reason, who, day, measured, "
        "limit_value, unit) "
        "SELECT 900 + k, 'r', '[' || (901 - k) || ']', NULL, 'x', '', '', 0, 0, '' FROM (SELECT 0 AS "
        "k UNION SELECT 1)");
    CHECK(opening(file) == "opens");
}

TEST_CASE("files whose structure lies are refused", "[hostile]") {
    const TestFolder folder;
    const auto file = villageIn(folder);
    const auto put = [&](std::size_t at, const std::string& bytes) {
        std::string all = village();
        all.replace(at, bytes.size(), bytes);
        writeBytes(file, all);
    };
    // SQLite file format, 1.3: page size at 16, page count at 28, first free page at 32 and their count at
    // 36, size of the cache at 48.
    const std::string most("\x7f\xff\xff\xff", 4);
    put(28, most);
    CHECK(opening(file) != "opens");
    put(28, std::string("\0\0\0\1", 4));
    CHECK(opening(file) != "opens");
    put(36, most);
    CHECK(opening(file) != "opens");
    put(32, most);
    CHECK(opening(file) != "opens");
    put(16, std::string("\x02\x00", 2));
    CHECK(opening(file) != "opens");
    put(48, most);
    CHECK(opening(file) == "opens"); // a wish of the file's that nobody follows
    writeBytes(file, village());
    fs::resize_file(file, std::uintmax_t{1} << 40); // a tebibyte of holes
    opening(file);
    std::string all = village();
    const std::string pages("\x0f\xff\xff\xff", 4); // a count that the holes bear out
    all.replace(28, 4, pages);
    writeBytes(file, all);
    fs::resize_file(file, std::uintmax_t{1} << 40);
    CHECK(opening(file) != "opens");
}

TEST_CASE("six thousand tables are refused, and a hundred thousand", "[hostile]") {
    // Entered past the library's own way of making tables, which takes minutes for so many; all on one page.
    const auto withEntries = [](const fs::path& file, const std::string& count, const std::string& entry) {
        OtherProgram(file).run(
            inSchema("WITH RECURSIVE n(v) AS (SELECT 1 UNION ALL SELECT v+1 FROM n WHERE v < " + count +
                     ") INSERT INTO sqlite_master SELECT " + entry + " FROM n"));
    };
    const std::string table =
        "'table', 't' || v, 't' || v, (SELECT rootpage FROM sqlite_master WHERE name='trees'), "
        "'CREATE TABLE t' || v || '(a, b, c)'";
    const std::string view =
        "'view', 'v' || v, 'v' || v, 0, 'CREATE VIEW v' || v || ' AS SELECT 1 AS a, 2 AS b'";
    const TestFolder folder;
    for (const auto& entry : {table, view}) {
        const auto file = villageIn(folder);
        withEntries(file, "6000", entry);
        checkRefused(file, "more than 5000");
        writeBytes(file, village());
        withEntries(file, "100000", entry);
        checkRefused(file, "far more tables");
    }
}

TEST_CASE("terrains that are elsewhere or too large are refused", "[hostile]") {
    const TestFolder folder;
    fs::create_directories(folder / "plans");
    writeBytes(folder / "outside.tif", "II*");
    fs::create_symlink("../outside.tif", folder / "plans" / "link.tif");
    fs::create_symlink("..", folder / "plans" / "up");
    Random random(3);
    RandomPlanSpec spec;
    spec.buildings = 5;
    Plan plan = randomPlan(random, spec);
    const auto loading = [&](const std::string& name) {
        PlanSettings s = *plan.settings;
        std::string digest;
        const auto file = folder / "plans" / name;
        std::error_code failed;
        if (fs::file_size(file, failed) < 1u << 24) digest = *digestOfFile(file);
        s.terrain = {name, digest, 0};
        plan.settings = std::make_shared<const PlanSettings>(s);
        const Bounded ran = inBoundedChild([&] {
            const auto terrain = loadTerrain(plan, folder / "plans" / "plan.gpkg");
            return terrain ? std::string("loads") : terrain.error().sentence();
        });
        WARN(name << ": " << ran.peakMiB << " MiB, " << ran.seconds << " s: " << ran.said.substr(0, 200));
        CHECK(ran.ended);
        if (Bounded::limited()) CHECK(ran.peakMiB < kMostMiB);
        CHECK(ran.said.find("not enough memory") == std::string::npos);
        return ran.said;
    };
    for (const std::string name : {"../../etc/passwd", "/etc/passwd", "link.tif", "up/outside.tif",
                                   "../outside.tif", "./up/../outside.tif"}) {
        INFO(name);
        CHECK_THAT(loading(name), Catch::Matchers::Contains("beside the plan"));
    }
    GDALAllRegister();
    const auto make = [&](const std::string& name, int width, int height, std::vector<const char*> options,
                          float* first = nullptr) {
        options.push_back("SPARSE_OK=TRUE");
        options.push_back(nullptr);
        const std::unique_ptr<GDALDataset> d(GetGDALDriverManager()->GetDriverByName("GTiff")->Create(
            (folder / "plans" / name).c_str(), width, height, 1, GDT_Float32,
            const_cast<char**>(options.data())));
        REQUIRE(d);
        double place[6] = {553000, 1, 0, 4094000, 0, -1};
        d->SetGeoTransform(place);
        OGRSpatialReference system;
        system.importFromEPSG(32627);
        d->SetSpatialRef(&system);
        d->GetRasterBand(1)->SetNoDataValue(-9999);
        if (first)
            CHECK(d->GetRasterBand(1)->RasterIO(GF_Write, 0, 0, 1, 1, first, 1, 1, GDT_Float32, 0, 0) ==
                  CE_None);
    };
    using Catch::Matchers::Contains;
    const char* const tiled = "TILED=YES";
    make("wide.tif", 40000, 40000, {tiled, "BLOCKXSIZE=4096", "BLOCKYSIZE=4096"});
    CHECK_THAT(loading("wide.tif"), Contains("40000 x 40000 cells"));
    make("cells.tif", 31623, 31623, {tiled, "BLOCKXSIZE=4096", "BLOCKYSIZE=4096"});
    CHECK_THAT(loading("cells.tif"), Contains("31623 x 31623 cells"));
    make("empty.tif", 10000, 10000, {tiled, "BLOCKXSIZE=1024", "BLOCKYSIZE=1024"});
    CHECK_THAT(loading("empty.tif"), Contains("no cell with a height"));
    make("blocks.tif", 64, 64, {tiled, "BLOCKXSIZE=30000", "BLOCKYSIZE=30000", "COMPRESS=DEFLATE"});
    CHECK_THAT(loading("blocks.tif"), Contains("blocks"));
    float ground = 7;
    make("one.tif", 10000, 10000, {tiled, "BLOCKXSIZE=256", "BLOCKYSIZE=256"}, &ground);
    CHECK_THAT(loading("one.tif"), Contains("cells only 1 have a height"));
    writeBytes(folder / "plans" / "holes.tif", bytesOf(folder / "plans" / "blocks.tif"));
    fs::resize_file(folder / "plans" / "holes.tif", std::uintmax_t{1} << 40);
    CHECK_THAT(loading("holes.tif"), Contains("larger than"));
}
