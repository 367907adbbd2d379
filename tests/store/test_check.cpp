// SPDX-License-Identifier: GPL-3.0-or-later
// Damage is found, all of it, and a copy is made that opens; the damaged file stays as it is.
#include "store/plan_check.h"

#include "catch.h"
#include "store/folder.h"
#include "store/other_program.h"
#include "store/plan_file.h"
#include "store/plan_terrain.h"
#include "support/random_plan.h"
#include "surface/raster_io.h"

#include <gdal_priv.h>
#include <ogrsf_frmts.h>
#include <set>

using namespace fw;
using namespace fw::testing;
using Severity = PlanFault::Severity;

namespace {

RandomPlanSpec villageSpec() {
    RandomPlanSpec spec;
    spec.buildings = 40;
    spec.mounts = 4;
    spec.trees = 10;
    return spec;
}

std::filesystem::path savedVillage(const TestFolder& folder, const std::string& name, Plan* kept = nullptr) {
    Random random(41);
    const Plan plan = randomPlan(random, villageSpec());
    REQUIRE(savePlan(plan, folder / name).ok());
    if (kept) *kept = plan;
    return folder / name;
}

CheckReport checked(const std::filesystem::path& file) {
    auto report = checkPlanFile(file);
    INFO((report ? std::string() : report.error().sentence()));
    REQUIRE(report);
    return std::move(*report);
}

std::string listed(const CheckReport& report) {
    std::string all;
    for (const PlanFault& f : report.faults)
        all += std::to_string(static_cast<int>(f.severity)) + " " + placeOf(f) + " " + f.label + ": " +
               f.what + " -> " + mendText(f) + "\n";
    return all;
}

bool tells(const CheckReport& report, Severity severity, const std::string& table, const std::string& part) {
    return std::any_of(report.faults.begin(), report.faults.end(), [&](const PlanFault& f) {
        return f.severity == severity && f.table == table && f.what.find(part) != std::string::npos;
    });
}

RepairReport repaired(const std::filesystem::path& file, const std::filesystem::path& copy) {
    const std::string before = bytesOf(file);
    std::filesystem::remove(copy);
    auto report = repairPlanFile(file, copy);
    INFO((report ? std::string() : report.error().sentence()));
    REQUIRE(report);
    CHECK(bytesOf(file) == before);
    INFO(listed(report->before) << "copy:\n" << listed(report->after));
    CHECK(report->after.sound());
    CHECK(OtherProgram(copy).value("PRAGMA integrity_check") == "ok");
    return std::move(*report);
}

Plan opened(const std::filesystem::path& file) {
    auto open = openPlan(file);
    INFO((open ? std::string() : open.error().sentence()));
    REQUIRE(open);
    return std::move(open->plan);
}

} // namespace

TEST_CASE("a sound plan has no fault, and its repaired copy is the same plan") {
    const TestFolder folder;
    Plan plan;
    const auto file = savedVillage(folder, "plan.gpkg", &plan);
    const CheckReport report = checked(file);
    INFO(listed(report));
    CHECK(report.faults.empty());
    CHECK(report.sound());
    CHECK_FALSE(repaired(file, folder / "copy.gpkg").rebuilt);
    CHECK(opened(folder / "copy.gpkg") == plan);
}

TEST_CASE("check finds all faults of a plan at once, and repair takes each out of the copy") {
    const TestFolder folder;
    Plan plan;
    const auto file = savedVillage(folder, "plan.gpkg", &plan);
    const ItemId mount = plan.mounts.begin()->id;
    const std::string m = std::to_string(mount.v);
    OtherProgram(file).run(
        "UPDATE mounts SET kind='tower', gnss_timing=7 WHERE uid=" + m +
        ";UPDATE sectors SET height_m=-3 WHERE uid=(SELECT max(uid) FROM sectors);"
        "UPDATE trees SET uid=-5 WHERE uid=(SELECT min(uid) FROM trees);"
        "UPDATE trees SET uid=(SELECT min(uid) FROM cells) WHERE uid=(SELECT max(uid) FROM trees);"
        "UPDATE sectors SET antenna=123456 WHERE uid=(SELECT min(uid) FROM sectors);"
        "UPDATE buildings SET geom=NULL WHERE uid=(SELECT min(uid) FROM buildings);"
        "UPDATE settings SET value='often' WHERE name='trigger_use';"
        "UPDATE settings SET value='1.5' WHERE name='indoor_share';"
        "UPDATE settings SET value='9' WHERE name='noise_figure_db';"
        "UPDATE fringewright_meta SET value=3 WHERE name='last_id';"
        "DELETE FROM gpkg_contents WHERE table_name='streets';"
        "CREATE TABLE remarks (fid INTEGER PRIMARY KEY, text TEXT); INSERT INTO remarks VALUES (1, "
        "'dog');"
        "CREATE TRIGGER sly AFTER UPDATE ON mounts BEGIN DELETE FROM trees; END;"
        "CREATE INDEX part ON trees (top_m) WHERE top_m > 3;"
        "CREATE INDEX sums ON trees (top_m + 1);");
    const CheckReport report = checked(file);
    INFO(listed(report));
    CHECK_FALSE(report.sound());
    CHECK(tells(report, Severity::fault, "mounts",
                "kind is not one of the known words; gnss_timing is not 0 or 1"));
    CHECK(tells(report, Severity::fault, "radios", "the mount is item " + m + ", which is left out itself"));
    CHECK(tells(report, Severity::fault, "small_cells", "which is left out itself"));
    CHECK(tells(report, Severity::fault, "sectors", "height is -3 m"));
    CHECK(tells(report, Severity::fault, "sectors", "the antenna is item 123456, which is not in the plan"));
    CHECK(tells(report, Severity::fault, "trees", "cannot name an item"));
    CHECK(tells(report, Severity::fault, "trees", "another item has this uid"));
    CHECK(tells(report, Severity::fault, "buildings", "its geometry is broken: there is none"));
    CHECK(tells(report, Severity::fault, "settings", "trigger_use"));
    CHECK(tells(report, Severity::fault, "settings", "indoor share is 1.5"));
    CHECK(tells(report, Severity::warning, "fringewright_meta", "counts items up to 3"));
    CHECK(tells(report, Severity::warning, "gpkg_contents", "does not name streets"));
    CHECK(tells(report, Severity::fault, "mounts", "the trigger \"sly\""));
    CHECK(tells(report, Severity::fault, "trees", "the index \"part\" on its table trees covers a part"));
    CHECK(tells(report, Severity::fault, "trees", "the index \"sums\" on its table trees is computed"));

    const RepairReport repair = repaired(file, folder / "copy.gpkg");
    CHECK_FALSE(repair.rebuilt);
    CHECK(repair.after.faults.empty());
    const Plan back = opened(folder / "copy.gpkg");
    CHECK_FALSE(back.has(mount));
    for (const Radio& r : plan.radios) CHECK(back.has(r.id) == (r.mount != mount));
    CHECK(back.scenery.trees.size() == plan.scenery.trees.size());
    CHECK(back.scenery.buildingCount() == plan.scenery.buildingCount() - 1);
    CHECK(back.settings->model.triggerUse == PlanSettings().model.triggerUse);
    CHECK(back.settings->model.noiseFigureDb == 9); // sound ones stay
    PlanSettings expected = *plan.settings;
    expected.model.triggerUse = PlanSettings().model.triggerUse;
    expected.model.indoorShare = PlanSettings().model.indoorShare;
    expected.model.noiseFigureDb = 9;
    CHECK(*back.settings == expected);
    CHECK(back.lastId.v == plan.lastId.v + 2); // two trees got numbers of their own
    CHECK(OtherProgram(folder / "copy.gpkg").value("SELECT text FROM remarks") == "dog");
    CHECK(
        OtherProgram(folder / "copy.gpkg").value("SELECT count(*) FROM sqlite_master WHERE type='trigger'") ==
        "0");
}

TEST_CASE("what opening refuses is what check finds, and its repair opens") {
    const char* const damages[] = {
        "UPDATE radios SET mount=999999 WHERE uid=(SELECT min(uid) FROM radios)",
        "UPDATE radios SET mount=(SELECT min(uid) FROM sectors)",
        "UPDATE cells SET sector=NULL",
        "DELETE FROM variants",
        "UPDATE sectors SET azimuth_deg='north'",
        "UPDATE sectors SET azimuth_deg=9e999",
        "UPDATE mounts SET tilts_deg='[0,3,'",
        "UPDATE cells SET ports=3000000000",
        "UPDATE streets SET geom=(SELECT geom FROM mounts LIMIT 1)",
        "UPDATE mounts SET name=CAST(x'ff41' AS TEXT)",
        "UPDATE settings SET value='0' WHERE name LIKE 'weight_%'",
        "UPDATE settings SET value='9e8' WHERE name='work_area_east_m'",
        "ALTER TABLE cells RENAME COLUMN pci TO identity",
        "ALTER TABLE mounts RENAME COLUMN geom TO place",
        "ALTER TABLE sectors RENAME COLUMN geom TO place",
        "ALTER TABLE trees RENAME COLUMN uid TO number",
        "DROP TABLE trees",
        "DROP TABLE settings",
        "DROP TABLE trees; CREATE VIEW trees AS SELECT * FROM mounts",
        "DROP TABLE streets; CREATE VIRTUAL TABLE streets USING rtree(uid, a, b)",
        "DELETE FROM fringewright_meta WHERE name='last_id'",
        "DELETE FROM fringewright_meta WHERE name='schema_version'",
        "UPDATE fringewright_meta SET value=-4 WHERE name='last_id'",
        "ALTER TABLE trees ADD COLUMN sum REAL AS (top_m + 1)",
        "ALTER TABLE trees ADD COLUMN sum REAL CHECK (sum IS NULL OR sum > 0)",
    };
    const TestFolder folder;
    const auto good = savedVillage(folder, "good.gpkg");
    for (const char* damage : damages) {
        INFO(damage);
        const auto file = folder / "damaged.gpkg";
        std::filesystem::copy_file(good, file, std::filesystem::copy_options::overwrite_existing);
        OtherProgram(file).run(damage);
        const auto open = openPlan(file);
        REQUIRE_FALSE(open.ok());
        const CheckReport report = checked(file);
        CHECK_FALSE(report.sound());
        const auto first = std::find_if(report.faults.begin(), report.faults.end(),
                                        [](const PlanFault& f) { return f.severity == Severity::fault; });
        REQUIRE(first != report.faults.end());
        INFO(open.error().sentence());
        CHECK(open.error().sentence().find(first->what) != std::string::npos);
        repaired(file, folder / "copy.gpkg");
        opened(folder / "copy.gpkg");
    }
}

TEST_CASE("of settings that are at fault each alone gets its default") {
    struct Case {
        const char* sql;
        const char* field;
        void (*mended)(PlanSettings&);
    };
    const Case cases[] = {
        {"UPDATE settings SET value='2' WHERE name='indoor_share'", "indoor_share",
         [](PlanSettings& s) { s.model.indoorShare = PlanSettings().model.indoorShare; }},
        {"UPDATE settings SET value='9e8' WHERE name='work_area_east_m'", "the work area",
         [](PlanSettings& s) { s.workArea = {}; }},
        {"UPDATE settings SET value='1000000' WHERE name='work_area_east_m'", "the work area",
         [](PlanSettings& s) { s.workArea = {}; }},
        {"UPDATE settings SET value='1e999' WHERE name='growth_per_year'", "growth_per_year",
         [](PlanSettings& s) { s.model.growthPerYear = PlanSettings().model.growthPerYear; }},
    };
    for (const Case& each : cases) {
        INFO(each.sql);
        const TestFolder folder;
        Plan plan;
        const auto file = savedVillage(folder, "plan.gpkg", &plan);
        OtherProgram(file).run(each.sql);
        const CheckReport report = checked(file);
        INFO(listed(report));
        REQUIRE(report.faults.size() == 1);
        CHECK(report.faults.front().field == each.field);
        repaired(file, folder / "copy.gpkg");
        PlanSettings expected = *plan.settings;
        each.mended(expected);
        CHECK(*opened(folder / "copy.gpkg").settings == expected);
    }
}

TEST_CASE("shapes and marks that are odd are warned of, and the plan opens all the same") {
    const TestFolder folder;
    Plan plan;
    savedVillage(folder, "good.gpkg", &plan);
    const ItemId area = plan.congestionAreas.begin()->id;
    const auto put = [&](const Ring& ring, const std::string& name) {
        Plan odd = plan;
        CongestionArea a = *plan.congestionAreas.find(area);
        a.area = {ring, {}};
        REQUIRE(apply(odd, {"Odd", {Put{a}}}));
        REQUIRE(savePlan(odd, folder / name).ok());
        return checked(folder / name);
    };
    const double x = 553000, y = 4084000;
    // A bow tie whose larger wing runs anticlockwise.
    const auto bow = put({{x, y}, {x + 40, y}, {x + 10, y + 30}, {x + 20, y - 5}}, "bow.gpkg");
    INFO(listed(bow));
    CHECK(tells(bow, Severity::warning, "congestion_areas", "crosses itself"));
    CHECK(bow.sound());
    const auto thin = put({{x, y}, {x + 1, y}, {x + 1, y + 0.001}}, "thin.gpkg");
    CHECK(tells(thin, Severity::warning, "congestion_areas", "next to no area"));
    // SRS id of every tree's point, bytes 4 to 7 (OGC 12-128r18, 2.1.3): 4326 as little-endian.
    const auto marked = folder / "marked.gpkg";
    std::filesystem::copy_file(folder / "good.gpkg", marked);
    OtherProgram(marked).run(
        "UPDATE trees SET geom=CAST(substr(geom, 1, 4) || x'e6100000' || substr(geom, 9) AS BLOB)");
    const CheckReport report = checked(marked);
    CHECK(report.count(Severity::warning) == plan.scenery.trees.size());
    CHECK(tells(report, Severity::warning, "trees",
                "marked with the reference system 4326, the plan's is 32627"));
    CHECK(repaired(marked, folder / "copy.gpkg").after.faults.empty());
    CHECK(opened(folder / "copy.gpkg") == plan);
}

TEST_CASE("a plan in a system that there is not opens, can be saved, and is warned of") {
    const TestFolder folder;
    const auto file = savedVillage(folder, "plan.gpkg");
    OtherProgram(file).run(
        "UPDATE settings SET value='6' WHERE name='epsg'"); // the EPSG registry has no code 6
    const Plan plan = opened(file);
    REQUIRE(savePlan(plan, folder / "saved.gpkg").ok());
    CHECK(opened(folder / "saved.gpkg") == plan);
    const CheckReport report = checked(folder / "saved.gpkg");
    CHECK(report.sound());
    CHECK(tells(report, Severity::warning, "settings", "nothing can be computed: EPSG:6"));
    repaired(file, folder / "copy.gpkg");
    CHECK(opened(folder / "copy.gpkg") == plan);
}

TEST_CASE("a terrain that is missing, elsewhere or another one is found; only the planner can mend that") {
    const TestFolder folder;
    Plan plan;
    savedVillage(folder, "good.gpkg", &plan);
    const Grid<float> heights(553000, 4084000, 50, 20, 20, 12.5f);
    REQUIRE(writeTerrain(folder / "ground.tif", heights, 32627).ok());
    const auto withTerrain = [&](const std::string& name, const std::string& digest) {
        Plan changed = plan;
        PlanSettings s = *plan.settings;
        s.terrain = {name, digest, 0};
        changed.settings = std::make_shared<const PlanSettings>(s);
        std::filesystem::remove(folder / "plan.gpkg");
        REQUIRE(savePlan(changed, folder / "plan.gpkg").ok());
        return checked(folder / "plan.gpkg");
    };
    const std::string digest = *digestOfFile(folder / "ground.tif");
    CHECK(withTerrain("ground.tif", digest).faults.empty());
    CHECK(tells(withTerrain("ground.tif", "0123"), Severity::fault, "settings",
                "not the one the plan was made with"));
    CHECK(tells(withTerrain("gone.tif", digest), Severity::fault, "settings", "not there"));
    CHECK(tells(withTerrain("../ground.tif", digest), Severity::fault, "settings", "beside the plan"));
    const auto repair = repairPlanFile(folder / "plan.gpkg", folder / "copy.gpkg");
    REQUIRE(repair);
    CHECK(repair->after.count(Severity::fault) == 1);
}

TEST_CASE("from a file whose pages are broken a repair brings what can be read") {
    const TestFolder folder;
    Plan plan;
    const auto file = savedVillage(folder, "plan.gpkg", &plan);
    // A page of the buildings, in the middle of the table: dbstat is not at hand, so the page is found by
    // what stands on it.
    std::string bytes = bytesOf(file);
    const Building one = *plan.scenery.building(plan.scenery.buildingChunks().front()->ids[20]);
    const double x = one.footprint.outer.front().x;
    const std::string mark(reinterpret_cast<const char*>(&x), sizeof x);
    const std::size_t at = bytes.find(mark);
    REQUIRE(at != std::string::npos);
    const std::size_t page = at / 4096 * 4096;
    std::fill(bytes.begin() + static_cast<std::ptrdiff_t>(page),
              bytes.begin() + static_cast<std::ptrdiff_t>(page) + 40, '\x55');
    writeBytes(file, bytes);
    REQUIRE_FALSE(openPlan(file).ok());
    const CheckReport report = checked(file);
    INFO(listed(report));
    CHECK(tells(report, Severity::fault, "", "structure is broken"));
    CHECK(tells(report, Severity::fault, "buildings", "some of its rows cannot be read"));
    CHECK(repaired(file, folder / "copy.gpkg").rebuilt);
    const Plan back = opened(folder / "copy.gpkg");
    CHECK(back.scenery.buildingCount() < plan.scenery.buildingCount());
    // A page of 4,096 bytes holds some twenty buildings of 200 bytes; the rest has to be there.
    CHECK(back.scenery.buildingCount() + 25 > plan.scenery.buildingCount());
    for (const auto& chunk : back.scenery.buildingChunks())
        for (std::size_t k = 0; k < chunk->size(); ++k)
            CHECK(chunk->building(k) == plan.scenery.building(chunk->ids[k]));
    CHECK(back.mounts == plan.mounts);
    CHECK(back.smallCells == plan.smallCells);
    GDALAllRegister();
    const std::unique_ptr<GDALDataset> seen(
        GDALDataset::Open((folder / "copy.gpkg").c_str(), GDAL_OF_VECTOR));
    REQUIRE(seen);
    CHECK(seen->GetLayerByName("buildings")->GetFeatureCount() ==
          static_cast<GIntBig>(back.scenery.buildingCount()));
}

TEST_CASE("bytes flipped at random: check agrees with opening, and what repair writes opens") {
    const TestFolder folder;
    const std::uint64_t seed = 77;
    INFO("seed " << seed);
    Random random(seed);
    const std::string good = bytesOf(savedVillage(folder, "good.gpkg"));
    const auto file = folder / "broken.gpkg", copy = folder / "copy.gpkg";
    int unsound = 0, copies = 0;
    for (int round = 0; round < 150; ++round) {
        std::string bytes = good;
        for (std::uint32_t k = 1 + random.below(6); k > 0; --k) {
            auto& byte = bytes[random.below(static_cast<std::uint32_t>(bytes.size()))];
            byte = static_cast<char>(byte ^ (1 << random.below(8)));
        }
        writeBytes(file, bytes);
        INFO("round " << round);
        const auto open = openPlan(file);
        const auto report = checkPlanFile(file);
        INFO((open ? "opens" : open.error().sentence()));
        INFO((report ? listed(*report) : report.error().sentence()));
        // Check looks at indices, too, which opening does not use.
        if (open) REQUIRE(report);
        if (report && report->sound()) REQUIRE(open.ok());
        if (!open) REQUIRE_FALSE((report && report->sound()));
        unsound += report && !report->sound();
        std::filesystem::remove(copy);
        const auto repair = repairPlanFile(file, copy);
        REQUIRE(repair.ok() == std::filesystem::exists(copy));
        if (repair) REQUIRE(openPlan(copy).ok());
        copies += repair.ok() && !open;
        REQUIRE(bytesOf(file) == bytes);
    }
    CHECK(unsound > 5);
    CHECK(copies > 5);
}

TEST_CASE("repair does not write over anything, and check refuses what is no plan") {
    const TestFolder folder;
    const auto file = savedVillage(folder, "plan.gpkg");
    writeBytes(folder / "there.gpkg", "mine");
    std::filesystem::create_symlink("nowhere", folder / "link.gpkg");
    for (const std::string name : {"there.gpkg", "link.gpkg", "plan.gpkg"}) {
        const auto repair = repairPlanFile(file, folder / name);
        REQUIRE_FALSE(repair.ok());
        CHECK(repair.error().code == ErrorCode::cannotWrite);
        CHECK(repair.error().sentence().find(name) != std::string::npos);
    }
    CHECK(bytesOf(folder / "there.gpkg") == "mine");
    CHECK_FALSE(std::filesystem::exists(folder / "nowhere"));
    CHECK_FALSE(repairPlanFile(file, folder / "no folder" / "copy.gpkg").ok());
    CHECK_FALSE(checkPlanFile(folder / "none.gpkg").ok());
    CHECK_FALSE(checkPlanFile(folder / "there.gpkg").ok());
    OtherProgram(file).run("UPDATE fringewright_meta SET value=70 WHERE name='schema_version'");
    const auto newer = checkPlanFile(file);
    REQUIRE_FALSE(newer.ok());
    CHECK(newer.error().code == ErrorCode::newer);
}
