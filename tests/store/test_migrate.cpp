// SPDX-License-Identifier: GPL-3.0-or-later
// Plans of older formats open, stay as they are until they are saved, and are then of today's.
#include "catch.h"
#include "store/fault_vfs.h"
#include "store/folder.h"
#include "store/other_program.h"
#include "store/plan_file.h"
#include "support/places.h"
#include "support/random_plan.h"

#include <fmt/format.h>

using namespace fw;
using namespace fw::testing;

namespace {

// plans/format_1.sql and format_2.sql hold the files that these formats made of this town.
Plan formatOneTown() {
    Random random(2026);
    RandomPlanSpec spec;
    spec.buildings = 6;
    spec.sites = 1;
    spec.mounts = 2;
    spec.trees = 4;
    return randomPlan(random, spec);
}

std::filesystem::path fileOfFormat(int format, const TestFolder& folder, const std::string& name) {
    const auto file = folder / name;
    OtherProgram(file).run(bytesOf(sourceFile("tests/store/plans") / fmt::format("format_{}.sql", format)));
    return file;
}
std::filesystem::path formatOneFile(const TestFolder& folder, const std::string& name) {
    return fileOfFormat(1, folder, name);
}

Plan renamed(Plan plan) {
    Mount m = *plan.mounts.begin();
    m.name = "W-99";
    REQUIRE(apply(plan, {"Rename", {Put{m}}}));
    return plan;
}

} // namespace

TEST_CASE("a plan of format 1 opens as it was, and stays as it is until it is saved") {
    const TestFolder folder;
    const auto file = formatOneFile(folder, "old.gpkg");
    OtherProgram(file).run("CREATE TABLE walks (fid INTEGER PRIMARY KEY, day TEXT); INSERT INTO walks VALUES "
                           "(1, '2026-06-01')");
    std::filesystem::permissions(file, std::filesystem::perms::owner_read |
                                           std::filesystem::perms::owner_write |
                                           std::filesystem::perms::group_read);
    const std::string bytes = bytesOf(file);
    OpenPlan opened;
    auto open = PlanFile::open(file, opened);
    INFO((open ? std::string() : open.error().sentence()));
    REQUIRE(open);
    CHECK(opened.plan == formatOneTown());
    CHECK(opened.saveCount == 0);
    CHECK(bytesOf(file) == bytes);

    const Plan plan = renamed(opened.plan);
    REQUIRE((*open)->save(plan).ok());
    CHECK((*open)->saveCount() == 1);
    OtherProgram db(file);
    CHECK(db.value("SELECT value FROM fringewright_meta WHERE name='schema_version'") ==
          std::to_string(kPlanSchemaVersion));
    CHECK(db.value("SELECT value FROM fringewright_meta WHERE name='save_count'") == "1");
    CHECK(db.value("SELECT day FROM walks") == "2026-06-01");
    CHECK(openPlan(file)->plan == plan);
    CHECK((std::filesystem::status(file).permissions() & std::filesystem::perms::group_read) !=
          std::filesystem::perms::none);
    // As it was opened it is still there, in the format it had.
    CHECK(OtherProgram(backupPathOf(file))
              .value("SELECT value FROM fringewright_meta WHERE name='schema_version'") == "1");
    // And goes on as any other.
    REQUIRE((*open)->save(opened.plan).ok());
    CHECK((*open)->saveCount() == 2);
    CHECK(openPlan(file)->plan == formatOneTown());
}

TEST_CASE("a plan of format 2 opens as it was, and then keeps identities of cells") {
    const TestFolder folder;
    const auto file = fileOfFormat(2, folder, "old.gpkg");
    OpenPlan opened;
    auto open = PlanFile::open(file, opened);
    INFO((open ? std::string() : open.error().sentence()));
    REQUIRE(open);
    CHECK(opened.plan == formatOneTown());
    CHECK(opened.saveCount == 1);
    Plan plan = opened.plan;
    Cell cell = *plan.cells.begin();
    cell.identity = {837, 65535, 268435455};
    SmallCell small = *plan.smallCells.begin();
    small.carrier.technology = Technology::nr;
    small.carrier.channel = 630000;
    small.identity = {0, 16777215, 68719476735};
    REQUIRE(apply(plan, {"Name", {Put{cell}, Put{small}}}));
    REQUIRE((*open)->save(plan).ok());
    CHECK(OtherProgram(file).value("SELECT max(cell_identity) FROM small_cells") == "68719476735");
    CHECK(openPlan(file)->plan == plan);
    small.identity = {};
    REQUIRE(apply(plan, {"Forget", {Put{small}}}));
    REQUIRE((*open)->save(plan).ok());
    CHECK(openPlan(file)->plan == plan);
}

TEST_CASE("a plan of format 1 in write-ahead mode opens, too") {
    const TestFolder folder;
    const auto file = formatOneFile(folder, "old.gpkg");
    OtherProgram(file).run("PRAGMA journal_mode=WAL");
    OpenPlan opened;
    auto open = PlanFile::open(file, opened);
    INFO((open ? std::string() : open.error().sentence()));
    REQUIRE(open);
    CHECK(opened.plan == formatOneTown());
    const Status saved = (*open)->save(renamed(opened.plan));
    INFO((saved.ok() ? std::string() : saved.error().sentence()));
    CHECK(saved.ok());
    CHECK(openPlan(file)->plan == renamed(opened.plan));
}

TEST_CASE("a migration that fails leaves the old file, whatever fails") {
    const TestFolder folder;
    const auto original = formatOneFile(folder, "original.gpkg"), file = folder / "old.gpkg";
    const Plan before = formatOneTown(), after = renamed(before);
    const FaultDisk disk;
    int refusals = 0;
    for (const FaultAt what : kFaults)
        for (int n = 1; n < 1000; ++n) {
            INFO(nameOf(what) << " number " << n);
            std::filesystem::copy_file(original, file, std::filesystem::copy_options::overwrite_existing);
            OpenPlan opened;
            auto open = PlanFile::open(file, opened);
            REQUIRE(open);
            FaultDisk::arm(what, n, false);
            const Status saved = (*open)->save(after);
            FaultDisk::disarm();
            open->reset();
            const auto there = openPlan(file);
            REQUIRE(there);
            REQUIRE((there->plan == after || (!saved.ok() && there->plan == before)));
            refusals += !saved.ok();
            if (!FaultDisk::struck()) break;
        }
    CHECK(refusals > 10);
}
