// SPDX-License-Identifier: GPL-3.0-or-later
// What is not a plan, or a broken one, is refused by a sentence and left as it is.
#include "catch.h"
#include "store/folder.h"
#include "store/other_program.h"
#include "store/plan_file.h"
#include "store/saved_plan.h"
#include "support/random_plan.h"

#include <map>
#include <sqlite3.h>

using namespace fw;
using namespace fw::testing;

namespace {

// Changes a file behind the program's back.
void alter(const std::filesystem::path& file, const std::string& sql) { OtherProgram(file).run(sql); }

std::string countOf(const std::filesystem::path& file, const std::string& sql) {
    return OtherProgram(file).value(sql);
}

std::map<std::string, std::string> everythingIn(const TestFolder& folder) {
    std::map<std::string, std::string> all;
    for (const auto& entry : std::filesystem::directory_iterator(folder.path()))
        if (entry.is_regular_file()) all[entry.path().filename()] = bytesOf(entry.path());
    return all;
}

// Neither opening nor saving over it changes a byte, nor leaves a file beside.
void checkRefused(const TestFolder& folder, const std::filesystem::path& file, ErrorCode code,
                  const std::string& part) {
    const auto before = everythingIn(folder);
    const auto open = openPlan(file);
    REQUIRE_FALSE(open.ok());
    INFO(open.error().sentence());
    CHECK(open.error().code == code);
    CHECK(open.error().sentence().find(part) != std::string::npos);
    CHECK(open.error().sentence().find(file.filename().string()) != std::string::npos);
    if (code != ErrorCode::notFound) {
        Random random(13);
        const Status saved = savePlan(randomPlan(random), file);
        CHECK_FALSE(saved.ok());
    }
    CHECK(everythingIn(folder) == before);
}

} // namespace

TEST_CASE("what is no plan is refused and left as it is") {
    const TestFolder folder;
    checkRefused(folder, folder / "none.gpkg", ErrorCode::notFound, "no such file");
    checkRefused(folder, folder.path(), ErrorCode::cannotRead, "not a file");
    writeBytes(folder / "text.gpkg", R"({"type":"FeatureCollection","features":[]})");
    checkRefused(folder, folder / "text.gpkg", ErrorCode::cannotRead, "not a plan");
    writeBytes(folder / "nothing.gpkg", "");
    checkRefused(folder, folder / "nothing.gpkg", ErrorCode::cannotRead, "not a plan");
    alter(folder / "other.db", "CREATE TABLE mounts (fid INTEGER)");
    checkRefused(folder, folder / "other.db", ErrorCode::cannotRead, "not a plan of this program");
    alter(folder / "other.gpkg",
          "PRAGMA application_id=1196444487; CREATE TABLE gpkg_contents (table_name TEXT)");
    checkRefused(folder, folder / "other.gpkg", ErrorCode::cannotRead, "not a plan of this program");
    writeBytes(folder / "head.gpkg", std::string("SQLite format 3\0", 16) + std::string(5000, 'x'));
    const auto open = openPlan(folder / "head.gpkg");
    CHECK_FALSE(open.ok());
}

TEST_CASE("a plan of a newer format names both versions") {
    const TestFolder folder;
    const auto file = savedPlan(folder, "newer.gpkg");
    alter(file, "UPDATE fringewright_meta SET value=7 WHERE name='schema_version'");
    checkRefused(folder, file, ErrorCode::newer, "format 7; this program reads up to format 3");
}

TEST_CASE("damaged plans are refused with what is wrong and where") {
    struct Damage {
        const char* sql;
        const char* part;
    };
    const Damage damages[] = {
        {"UPDATE radios SET mount=999999 WHERE uid=(SELECT min(uid) FROM radios)", "999999"},
        {"UPDATE radios SET mount=(SELECT min(uid) FROM sectors)", "must be a mount"},
        {"UPDATE cells SET sector=NULL", "sector is not given"},
        {"DELETE FROM variants", "not in the plan"},
        {"UPDATE sectors SET height_m=-3 WHERE uid=(SELECT max(uid) FROM sectors)", "height is -3 m"},
        {"UPDATE sectors SET azimuth_deg='north'", "azimuth_deg is not a number"},
        {"UPDATE sectors SET azimuth_deg=9e999", "azimuth is inf"},
        {"UPDATE mounts SET kind='tower'", "kind is not one of the known words"},
        {"UPDATE mounts SET tilts_deg='[0,3,'", "tilts_deg is not a list"},
        {"UPDATE mounts SET gnss_timing=5", "gnss_timing is not 0 or 1"},
        {"UPDATE cells SET ports=3000000000", "ports is not a whole number"},
        {"UPDATE buildings SET geom=substr(geom, 1, length(geom) - 8) WHERE uid=(SELECT max(uid) FROM "
         "buildings)",
         "geometry is broken"},
        {"UPDATE buildings SET geom=NULL", "geometry is broken"},
        {"UPDATE streets SET geom=(SELECT geom FROM mounts LIMIT 1)", "geometry is broken"},
        {"UPDATE trees SET uid=-1 WHERE uid=(SELECT min(uid) FROM trees)", "uid cannot name an item"},
        {"UPDATE trees SET uid=(SELECT min(uid) FROM mounts) WHERE uid=(SELECT min(uid) FROM trees)",
         "two items have the uid"},
        {"UPDATE settings SET value='often' WHERE name='trigger_use'", "trigger_use"},
        {"UPDATE settings SET value='1.5' WHERE name='indoor_share'", "indoor share is 1.5"},
        {"UPDATE mounts SET name=CAST(x'ff41' AS TEXT)", "UTF-8"},
        {"ALTER TABLE cells RENAME COLUMN pci TO identity", "pci"},
        {"DROP TABLE trees", "trees is missing"},
        {"DROP TABLE trees; CREATE VIEW trees AS SELECT * FROM mounts", "trees is missing"},
    };
    const TestFolder folder;
    const auto good = savedPlan(folder, "good.gpkg");
    for (const Damage& damage : damages) {
        INFO(damage.sql);
        const auto file = folder / "damaged.gpkg";
        std::filesystem::copy_file(good, file, std::filesystem::copy_options::overwrite_existing);
        alter(file, damage.sql);
        const auto open = openPlan(file);
        CHECK_FALSE(open.ok());
        if (open) continue;
        const bool told =
            open.error().code == ErrorCode::damaged || open.error().code == ErrorCode::cannotRead;
        CHECK(told);
        checkRefused(folder, file, open.error().code, damage.part);
    }
}

TEST_CASE("a plan cut short anywhere is refused, and flipped bytes never crash") {
    const TestFolder folder;
    const std::uint64_t seed = 99;
    INFO("seed " << seed);
    Random random(seed);
    RandomPlanSpec small;
    small.buildings = 30;
    small.mounts = 3;
    const auto file = folder / "plan.gpkg";
    REQUIRE(savePlan(randomPlan(random, small), file).ok());
    const std::string good = bytesOf(file);
    const auto broken = folder / "broken.gpkg";
    for (std::size_t n = 0; n < good.size(); n += 1 + good.size() / 40) {
        writeBytes(broken, good.substr(0, n));
        const auto open = openPlan(broken);
        REQUIRE_FALSE(open.ok());
        REQUIRE(open.error().sentence().size() > 20);
        REQUIRE(bytesOf(broken) == good.substr(0, n));
    }
    for (int round = 0; round < 400; ++round) {
        std::string bytes = good;
        for (std::uint32_t k = 1 + random.below(5); k > 0; --k) {
            auto& byte = bytes[random.below(static_cast<std::uint32_t>(bytes.size()))];
            byte = static_cast<char>(byte ^ (1 << random.below(8)));
        }
        writeBytes(broken, bytes);
        const auto open = openPlan(broken);
        if (!open) REQUIRE(open.error().sentence().size() > 20);
        REQUIRE(bytesOf(broken) == bytes);
    }
}

TEST_CASE("what other programs added survives a save") {
    const TestFolder folder;
    Plan plan;
    const auto file = savedPlan(folder, "shared.gpkg", &plan);
    alter(file, "ALTER TABLE mounts ADD COLUMN photo TEXT; UPDATE mounts SET photo='p' || uid;"
                "CREATE TABLE notes (fid INTEGER PRIMARY KEY, text TEXT); INSERT INTO notes VALUES (1, 'mind "
                "the dog');"
                "INSERT INTO trees (geom, top_m) SELECT geom, 5 FROM trees LIMIT 2;"
                "UPDATE buildings SET fid=fid+100000;");
    auto open = openPlan(file);
    INFO((open ? std::string() : open.error().sentence()));
    REQUIRE(open);
    CHECK(open->plan == plan);
    REQUIRE(open->notes.size() == 1);
    CHECK(open->notes[0].find("2 rows of trees") != std::string::npos);
    Random random(3);
    for (int k = 0; k < 40; ++k)
        REQUIRE(apply(plan, randomEdit(plan, random, static_cast<EditKind>(k % kEditKinds))));
    Mount m = *plan.mounts.begin();
    m.height = {8.25};
    REQUIRE(apply(plan, {"Raise", {Put{m}}}));
    REQUIRE(savePlan(plan, file).ok());
    open = openPlan(file);
    REQUIRE(open);
    CHECK(open->plan == plan);
    CHECK(countOf(file, "SELECT photo FROM mounts WHERE height_m=8.25") == "p" + std::to_string(m.id.v));
    CHECK(countOf(file, "SELECT text FROM notes") == "mind the dog");
    CHECK(countOf(file, "SELECT count(*) FROM trees WHERE uid IS NULL") == "2");
}

TEST_CASE("corners that another program left clockwise are turned, with a note") {
    const TestFolder folder;
    Plan plan;
    const auto file = savedPlan(folder, "turned.gpkg", &plan);
    const ItemId id = plan.congestionAreas.begin()->id;
    // The same ring the other way round, corner by corner of 16 bytes (OGC 06-103r4, 8.2: count, then
    // points).
    std::string blob = "substr(geom, 1, 53)"; // header 8 + bounds 32, then 1 + 4 + 4 + 4
    for (int k = 4; k >= 0; --k) blob += "||substr(geom, " + std::to_string(54 + 16 * k) + ", 16)";
    alter(file,
          "UPDATE congestion_areas SET geom=CAST(" + blob + " AS BLOB) WHERE uid=" + std::to_string(id.v));
    const auto again = openPlan(file);
    INFO((again ? std::string() : again.error().sentence()));
    REQUIRE(again);
    CHECK(again->notes.size() == 1);
    CHECK(areaOf(again->plan.congestionAreas.find(id)->area) ==
          Approx(areaOf(plan.congestionAreas.find(id)->area)));
}

TEST_CASE("a plan left in write-ahead mode opens without a file beside it, and a save ends that mode") {
    const TestFolder folder;
    Plan plan;
    const auto file = savedPlan(folder, "wal.gpkg", &plan);
    alter(file, "PRAGMA journal_mode=WAL; UPDATE mounts SET owner='x'; UPDATE mounts SET owner='y'");
    const auto before = everythingIn(folder);
    CHECK(before.size() == 1);
    CHECK(bytesOf(file)[18] == 2); // SQLite file format, 1.3.3
    const auto open = openPlan(file);
    REQUIRE(open);
    CHECK(open->plan.mounts.begin()->owner == "y");
    CHECK(everythingIn(folder) == before);
    REQUIRE(savePlan(plan, file).ok());
    CHECK(bytesOf(file)[18] == 1);
    CHECK(everythingIn(folder).size() == 1);
    CHECK(openPlan(file)->plan == plan);
}

TEST_CASE("after a save that was broken off the plan opens as it was before") {
    const TestFolder folder;
    Plan plan;
    const auto file = savedPlan(folder, "live.gpkg", &plan);
    // Another connection in the middle of a transaction whose pages have already reached the file: what a
    // loss of power leaves is the file and its journal as they lie there (SQLite, "Atomic Commit", 4.1).
    sqlite3* db = nullptr;
    REQUIRE(sqlite3_open(file.c_str(), &db) == SQLITE_OK);
    REQUIRE(sqlite3_exec(
                db,
                "PRAGMA cache_size=1; BEGIN; UPDATE buildings SET height_m=9; UPDATE mounts SET owner='lost'",
                nullptr, nullptr, nullptr) == SQLITE_OK);
    const auto crashed = folder / "crashed.gpkg";
    std::filesystem::copy_file(file, crashed);
    std::filesystem::copy_file(folder / "live.gpkg-journal", folder / "crashed.gpkg-journal");
    sqlite3_exec(db, "ROLLBACK", nullptr, nullptr, nullptr);
    sqlite3_close(db);
    REQUIRE(bytesOf(crashed) != bytesOf(file));
    const auto open = openPlan(crashed);
    INFO((open ? std::string() : open.error().sentence()));
    REQUIRE(open);
    CHECK(open->plan == plan);
    CHECK(bytesOf(crashed) == bytesOf(file));
}
