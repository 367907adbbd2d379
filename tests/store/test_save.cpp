// SPDX-License-Identifier: GPL-3.0-or-later
// A save touches what changed and nothing else, and never writes over what it does not know.
#include "catch.h"
#include "store/folder.h"
#include "store/other_program.h"
#include "store/plan_file.h"
#include "store/saved_plan.h"
#include "support/random_plan.h"

#include <algorithm>
#include <set>

using namespace fw;
using namespace fw::testing;

namespace {

struct Session {
    explicit Session(const std::filesystem::path& plan) {
        auto open = PlanFile::open(plan, opened);
        INFO((open ? std::string() : open.error().sentence()));
        REQUIRE(open);
        file = std::move(*open);
    }
    OpenPlan opened;
    std::unique_ptr<PlanFile> file;
};

Plan withOneMountRaised(Plan plan) {
    Mount m = *plan.mounts.begin();
    m.height = {8.25};
    REQUIRE(apply(plan, {"Raise", {Put{m}}}));
    return plan;
}

using Rows = std::set<std::pair<std::string, std::int64_t>>;

// Rows that differ between two files: table and row id, by SQLite itself.
Rows differingRows(const std::filesystem::path& a, const std::filesystem::path& b) {
    Rows rows;
    OtherProgram db(a);
    db.run("ATTACH '" + b.string() + "' AS b");
    for (const std::string& table : db.column("SELECT name FROM main.sqlite_master WHERE type='table'"))
        for (const std::string side : {"main", "b"}) {
            const std::string other = side == "main" ? "b" : "main";
            for (const std::string& row :
                 db.column("SELECT rowid FROM (SELECT rowid, * FROM " + side + ".\"" + table +
                           "\" EXCEPT SELECT rowid, * FROM " + other + ".\"" + table + "\")"))
                rows.emplace(table, std::stoll(row));
        }
    return rows;
}

} // namespace

TEST_CASE("a save touches the rows that differ, by SQLite's own account, and no other") {
    const TestFolder folder;
    const auto file = savedPlan(folder);
    Session session(file);
    Plan plan = session.opened.plan;
    Random random(7);
    Rows touched;
    std::int64_t saves = 1;
    session.file->watchRows([&](std::string_view table, std::int64_t row) { touched.emplace(table, row); });
    for (int round = 0; round < 60; ++round) {
        INFO("round " << round);
        for (std::uint32_t k = 1 + random.below(3); k > 0; --k)
            REQUIRE(apply(plan, randomEdit(plan, random, static_cast<EditKind>(random.below(kEditKinds)))));
        const auto before = folder / "before.gpkg";
        std::filesystem::copy_file(file, before, std::filesystem::copy_options::overwrite_existing);
        touched.clear();
        saves += !(plan == session.file->saved());
        REQUIRE(session.file->save(plan).ok());
        const Rows differ = differingRows(before, file);
        std::filesystem::remove(before);
        CHECK(touched == differ);
        CHECK(differ.size() < 60);
    }
    CHECK(openPlan(file)->plan == plan);
    CHECK(saves > 50);
    CHECK(session.file->saveCount() == saves);
    CHECK(openPlan(file)->saveCount == saves);

    touched.clear();
    REQUIRE(session.file->save(plan).ok());
    CHECK(touched.empty()); // nothing to save, nothing written
    CHECK(session.file->saveCount() == saves);

    Mount m = *plan.mounts.begin();
    m.owner += " and heirs";
    REQUIRE(apply(plan, {"Owner", {Put{m}}}));
    REQUIRE(session.file->save(plan).ok());
    std::set<std::string> tables;
    for (const auto& [table, row] : touched) tables.insert(table);
    CHECK(tables == std::set<std::string>{"fringewright_meta", "mounts"});
    CHECK(touched.size() == 2);
}

TEST_CASE(
    "a save that is stopped half-way leaves the file as it was, byte by byte, and the next one is whole") {
    const TestFolder folder;
    const auto file = savedPlan(folder);
    Session session(file);
    Plan plan = session.opened.plan;
    Edit edit;
    for (Mount m : plan.mounts) {
        m.owner += " and heirs";
        edit.changes.emplace_back(Put{m});
    }
    Building house = plan.scenery.buildingChunks().front()->building(0);
    const ItemId first = plan.nextId();
    for (std::uint32_t k = 0; k < 3000; ++k) {
        house.id = {first.v + k};
        edit.changes.emplace_back(Put{house});
    }
    REQUIRE(apply(plan, edit));
    const std::string before = bytesOf(file);
    std::stop_source stop;
    int rows = 0;
    session.file->watchRows([&](std::string_view, std::int64_t) {
        if (++rows == 200) stop.request_stop();
    });
    const Status stopped = session.file->save(plan, stop.get_token());
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.error().code == ErrorCode::cancelled);
    CHECK(rows >= 200);
    CHECK(rows < 2500);
    CHECK(bytesOf(file) == before);
    CHECK(session.file->saved() == session.opened.plan);
    CHECK_FALSE(session.file->save(plan, stop.get_token()).ok()); // before it began
    CHECK(bytesOf(file) == before);
    REQUIRE(session.file->save(plan).ok());
    CHECK(openPlan(file)->plan == plan);
}

TEST_CASE("the file as it was opened is kept once, before the first save") {
    const TestFolder folder;
    const auto file = savedPlan(folder, "town.plan.gpkg");
    const std::string asOpened = bytesOf(file);
    const auto backup = folder / "town.plan.backup.gpkg";
    Session session(file);
    CHECK_FALSE(std::filesystem::exists(backup));
    Plan plan = withOneMountRaised(session.opened.plan);
    REQUIRE(session.file->save(plan).ok());
    // SQLite's backup carries over every page; only the counters of changes in the head may differ.
    const auto kept = openPlan(backup);
    REQUIRE(kept);
    CHECK(kept->plan == session.opened.plan);
    CHECK(kept->saveCount == 1);
    CHECK(bytesOf(backup).size() == asOpened.size());
    CHECK(bytesOf(backup).substr(4096) == asOpened.substr(4096));
    const std::string first = bytesOf(backup);
    Mount m = *plan.mounts.begin();
    m.owner = "somebody";
    REQUIRE(apply(plan, {"Owner", {Put{m}}}));
    REQUIRE(session.file->save(plan).ok());
    CHECK(bytesOf(backup) == first);

    // The next session keeps what it finds.
    Session next(file);
    REQUIRE(next.file->backUpOnce().ok());
    CHECK(openPlan(backup)->plan == plan);
    CHECK(openPlan(backup)->saveCount == 3);
}

TEST_CASE("a new file that is stopped half-way: what was there still is, and nothing lies beside it") {
    const TestFolder folder;
    const auto file = savedPlan(folder);
    const Plan plan = withOneMountRaised(openPlan(file)->plan);
    const std::string before = bytesOf(file);
    std::stop_source stop;
    stop.request_stop();
    for (const auto& to : {file, folder / "new.gpkg"}) {
        const auto made = PlanFile::create(plan, to, stop.get_token());
        REQUIRE_FALSE(made);
        CHECK(made.error().code == ErrorCode::cancelled);
    }
    CHECK(bytesOf(file) == before);
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(file.parent_path()))
        names.push_back(entry.path().filename().string());
    CHECK(names == std::vector<std::string>{file.filename().string()});
    CHECK(PlanFile::create(plan, folder / "new.gpkg").ok());
}

TEST_CASE("a file that another program changed meanwhile is left as it is") {
    const TestFolder folder;
    const auto file = savedPlan(folder);
    Session session(file);
    const Plan plan = withOneMountRaised(session.opened.plan);
    OtherProgram(file).run("UPDATE mounts SET owner='the other one'");
    const std::string theirs = bytesOf(file);
    Status saved = session.file->save(plan);
    REQUIRE_FALSE(saved.ok());
    CHECK(saved.error().code == ErrorCode::cannotWrite);
    CHECK(saved.error().sentence().find("Another program has changed") != std::string::npos);
    CHECK(saved.error().sentence().find("plan.gpkg") != std::string::npos);
    CHECK(bytesOf(file) == theirs);
    // It is said every time, not only once.
    saved = session.file->save(plan);
    CHECK_FALSE(saved.ok());
    CHECK(bytesOf(file) == theirs);
    // Under another name it goes.
    CHECK(PlanFile::create(plan, folder / "mine.gpkg").ok());
}

TEST_CASE("what another program added meanwhile does not keep a plan from being saved, and stays") {
    const TestFolder folder;
    const auto file = savedPlan(folder);
    Session session(file);
    const Plan plan = withOneMountRaised(session.opened.plan);
    OtherProgram(file).run("ALTER TABLE mounts ADD COLUMN photo TEXT; UPDATE mounts SET photo='p' || uid;"
                           "CREATE TABLE walks (fid INTEGER PRIMARY KEY, day TEXT);"
                           "INSERT INTO walks VALUES (1, '2026-06-01');"
                           "INSERT INTO trees (geom, top_m) SELECT geom, 5 FROM trees LIMIT 2;");
    const Status saved = session.file->save(plan);
    INFO((saved.ok() ? std::string() : saved.error().sentence()));
    REQUIRE(saved.ok());
    CHECK(openPlan(file)->plan == plan);
    OtherProgram db(file);
    CHECK(db.value("SELECT count(*) FROM mounts WHERE photo='p' || uid") ==
          std::to_string(plan.mounts.size()));
    CHECK(db.value("SELECT day FROM walks") == "2026-06-01");
    CHECK(db.value("SELECT count(*) FROM trees WHERE uid IS NULL") == "2");
}

TEST_CASE("a file that was moved, deleted or replaced is not written to") {
    const TestFolder folder;
    std::filesystem::create_directory(folder / "plans");
    const auto file = folder / "plans/plan.gpkg";
    std::filesystem::rename(savedPlan(folder), file);
    Session session(file);
    const Plan plan = withOneMountRaised(session.opened.plan);
    const auto refused = [&](const char* part) {
        const Status saved = session.file->save(plan);
        REQUIRE_FALSE(saved.ok());
        INFO(saved.error().sentence());
        CHECK(saved.error().sentence().find(part) != std::string::npos);
    };
    std::filesystem::rename(file, folder / "elsewhere.gpkg");
    const std::string moved = bytesOf(folder / "elsewhere.gpkg");
    refused("no longer there");
    CHECK(bytesOf(folder / "elsewhere.gpkg") == moved);
    CHECK_FALSE(std::filesystem::exists(file));

    // Another plan in its place.
    Random random(99);
    REQUIRE(savePlan(randomPlan(random), folder / "other.gpkg").ok());
    std::filesystem::rename(folder / "other.gpkg", file);
    const std::string other = bytesOf(file);
    refused("Another program has changed");
    CHECK(bytesOf(file) == other);

    // Its folder gone, as a drive that was pulled.
    std::filesystem::rename(folder / "plans", folder / "gone");
    refused("no longer there");

    // Put back, all is well.
    std::filesystem::rename(folder / "gone", folder / "plans");
    std::filesystem::rename(folder / "elsewhere.gpkg", file);
    const Status saved = session.file->save(plan);
    INFO((saved.ok() ? std::string() : saved.error().sentence()));
    CHECK(saved.ok());
    CHECK(openPlan(file)->plan == plan);
}

TEST_CASE("a file that another program holds is refused by a sentence, and saved once it is free") {
    const TestFolder folder;
    const auto file = savedPlan(folder);
    Session session(file);
    const Plan plan = withOneMountRaised(session.opened.plan);
    {
        OtherProgram other(file);
        other.run("BEGIN IMMEDIATE; UPDATE mounts SET owner='held'");
        const Status saved = session.file->save(plan);
        REQUIRE_FALSE(saved.ok());
        CHECK(saved.error().sentence().find("using the file just now") != std::string::npos);
        other.run("ROLLBACK");
    }
    CHECK(openPlan(file)->plan == session.opened.plan);
    CHECK(session.file->save(plan).ok());
    CHECK(openPlan(file)->plan == plan);
}

TEST_CASE("a plan left in write-ahead mode, with its log beside it, is read whole and saved as one file") {
    const TestFolder folder;
    auto file = savedPlan(folder);
    {
        // What a program that died leaves: the file, the log that holds its last change, and the index of it.
        OtherProgram other(file);
        other.run(
            "PRAGMA journal_mode=WAL; PRAGMA wal_autocheckpoint=0; UPDATE mounts SET owner='in the log'");
        std::filesystem::copy_file(file, folder / "left.gpkg");
        std::filesystem::copy_file(folder / "plan.gpkg-wal", folder / "left.gpkg-wal");
    }
    file = folder / "left.gpkg";
    Session session(file);
    CHECK(session.opened.plan.mounts.begin()->owner == "in the log");
    const Plan plan = withOneMountRaised(session.opened.plan);
    const Status saved = session.file->save(plan);
    INFO((saved.ok() ? std::string() : saved.error().sentence()));
    REQUIRE(saved.ok());
    CHECK(openPlan(file)->plan == plan);
    session.file.reset();
    CHECK(bytesOf(file)[18] == 1); // SQLite file format, 1.3.3: no longer write-ahead
    CHECK_FALSE(std::filesystem::exists(folder / "left.gpkg-wal"));

    // Put into that mode while it is open here.
    Session again(file);
    OtherProgram(file).run("PRAGMA journal_mode=WAL");
    Plan later = again.opened.plan;
    Mount m = *later.mounts.begin();
    m.owner = "later";
    REQUIRE(apply(later, {"Owner", {Put{m}}}));
    const Status after = again.file->save(later);
    INFO((after.ok() ? std::string() : after.error().sentence()));
    REQUIRE(after.ok());
    CHECK(openPlan(file)->plan == later);
    CHECK(bytesOf(file)[18] == 1);
}

TEST_CASE("a link to a plan stays a link") {
    const TestFolder folder;
    const auto file = savedPlan(folder);
    std::filesystem::create_symlink("plan.gpkg", folder / "link.gpkg");
    Session session(folder / "link.gpkg");
    const Plan plan = withOneMountRaised(session.opened.plan);
    REQUIRE(session.file->save(plan).ok());
    REQUIRE(PlanFile::create(plan, folder / "link.gpkg").ok());
    CHECK(std::filesystem::is_symlink(folder / "link.gpkg"));
    CHECK(openPlan(file)->plan == plan);
}

TEST_CASE("spatial indices and feature counts that other programs keep follow a save") {
    const TestFolder folder;
    const auto file = savedPlan(folder);
    indexWithGdal(file, "mounts");
    indexWithGdal(file, "buildings");
    Session session(file);
    Plan plan = session.opened.plan;
    Random random(3);
    for (int k = 0; k < 200; ++k)
        REQUIRE(apply(plan, randomEdit(plan, random, k % 2 ? EditKind::mount : EditKind::building)));
    const Status saved = session.file->save(plan);
    INFO((saved.ok() ? std::string() : saved.error().sentence()));
    REQUIRE(saved.ok());
    CHECK(openPlan(file)->plan == plan);
    OtherProgram db(file);
    CHECK(db.value("SELECT count(*) FROM rtree_mounts_geom") == std::to_string(plan.mounts.size()));
    CHECK(db.value("SELECT count(*) FROM rtree_buildings_geom") ==
          std::to_string(plan.scenery.buildingCount()));
    CHECK(db.value("SELECT rtreecheck('rtree_buildings_geom')") == "ok");
    // GDAL looks the mounts up by the index: each where it is now.
    for (const Mount& m : plan.mounts) CHECK(idsAround(file, "mounts", m.at, 0.01).count(m.id.v) == 1);
}

TEST_CASE("a trigger that would change or look up other things is not let run") {
    struct Trap {
        const char* sql;
    };
    const Trap traps[] = {
        {"CREATE TRIGGER t AFTER UPDATE ON mounts BEGIN DELETE FROM radios; END"},
        {"CREATE TRIGGER t AFTER INSERT ON trees BEGIN UPDATE mounts SET owner='x'; END"},
        {"CREATE TRIGGER t AFTER UPDATE ON radios WHEN (WITH RECURSIVE r(n) AS (SELECT 1 UNION ALL SELECT "
         "n+1 "
         "FROM r) SELECT max(n) FROM r) BEGIN DELETE FROM rtree_x; END"},
        {"CREATE TABLE rtree_x (a); CREATE TRIGGER t AFTER UPDATE ON mounts BEGIN INSERT INTO rtree_x SELECT "
         "count(*) FROM mounts, mounts, mounts; END"},
        {"CREATE VIEW rtree_v AS SELECT 1 AS a; CREATE TRIGGER u INSTEAD OF INSERT ON rtree_v BEGIN DELETE "
         "FROM "
         "cells; END; CREATE TRIGGER t AFTER UPDATE ON mounts BEGIN INSERT INTO rtree_v VALUES (1); END"},
    };
    const TestFolder folder;
    for (const Trap& trap : traps) {
        INFO(trap.sql);
        const auto file = savedPlan(folder);
        OtherProgram(file).run(trap.sql);
        const std::string bytes = bytesOf(file);
        const auto open = openPlan(file);
        REQUIRE_FALSE(open.ok());
        INFO(open.error().sentence());
        CHECK(open.error().sentence().find("trigger") != std::string::npos);
        CHECK(open.error().sentence().find("table ") != std::string::npos);
        CHECK(bytesOf(file) == bytes);
        std::filesystem::remove(file);
    }
}
