// SPDX-License-Identifier: GPL-3.0-or-later
// Whatever operation of the disk fails while a plan is saved, the file holds the plan as before or as after.
#include "catch.h"
#include "store/fault_vfs.h"
#include "store/folder.h"
#include "store/plan_file.h"
#include "support/random_plan.h"

using namespace fw;
using namespace fw::testing;

namespace {

Plan planOfOneSite(std::uint64_t seed) {
    Random random(seed);
    RandomPlanSpec small;
    small.buildings = 40;
    small.mounts = 3;
    small.sites = 1;
    return randomPlan(random, small);
}

// Edits that touch many pages, so that there is much that can fail.
Plan changed(Plan plan) {
    Random random(5);
    for (int k = 0; k < 30; ++k)
        REQUIRE(apply(plan, randomEdit(plan, random, static_cast<EditKind>(k % kEditKinds))));
    return plan;
}

bool strayFilesIn(const TestFolder& folder) {
    for (const auto& entry : std::filesystem::directory_iterator(folder.path()))
        if (entry.path().extension() == ".part") return true;
    return false;
}

// One operation after another fails, until one run needs fewer; `run(disk, n)` is one run with the n-th.
template <class F>
void forEveryFault(F&& run) {
    for (const bool forGood : {false, true})
        for (const FaultAt what : kFaults) {
            int n = 1;
            for (; n < 2000; ++n) {
                INFO(nameOf(what) << " number " << n << (forGood ? " and all that follow" : ""));
                if (!run(what, n, forGood)) break;
            }
            REQUIRE(n < 2000);
            // Each kind of operation is really part of what is tried.
            INFO(nameOf(what));
            REQUIRE(n > 1);
        }
}

void checkSentence(const Status& s) {
    INFO(s.error().sentence());
    CHECK(s.error().sentence().size() > 40);
    CHECK(s.error().sentence().find(".gpkg") != std::string::npos);
}

} // namespace

TEST_CASE("a save over a plan leaves the plan before or after, whatever fails") {
    const TestFolder folder;
    const Plan before = planOfOneSite(1), after = changed(before);
    REQUIRE_FALSE(before == after);
    const auto original = folder / "original.gpkg", file = folder / "plan.gpkg";
    REQUIRE(savePlan(before, original).ok());
    const FaultDisk disk;
    int refusals = 0, finished = 0;
    forEveryFault([&](FaultAt what, int n, bool forGood) {
        std::filesystem::copy_file(original, file, std::filesystem::copy_options::overwrite_existing);
        std::filesystem::remove(backupPathOf(file));
        bool struck = false;
        {
            OpenPlan opened;
            const auto open = PlanFile::open(file, opened);
            REQUIRE(open);
            FaultDisk::arm(what, n, forGood);
            const Status saved = (*open)->save(after);
            FaultDisk::disarm();
            struck = FaultDisk::struck();
            if (!saved.ok()) checkSentence(saved);
            (saved.ok() ? finished : refusals) += 1;
            const auto there = openPlan(file);
            INFO((there ? std::string() : there.error().sentence()));
            REQUIRE(there);
            if (saved.ok())
                REQUIRE(there->plan == after);
            else
                REQUIRE((there->plan == before || there->plan == after));
            // The same open plan can be saved once the disk is well again.
            const Status again = (*open)->save(after);
            INFO((again.ok() ? std::string() : again.error().sentence()));
            REQUIRE(again.ok());
        }
        REQUIRE(openPlan(file)->plan == after);
        REQUIRE_FALSE(strayFilesIn(folder));
        return struck;
    });
    CHECK(refusals > 20);
    CHECK(finished > 4); // backups that fail do not keep a plan from being saved
}

TEST_CASE("a plan saved under a new name is there whole or not at all, whatever fails") {
    const TestFolder folder;
    const Plan plan = planOfOneSite(2);
    const auto file = folder / "new.gpkg";
    const FaultDisk disk;
    forEveryFault([&](FaultAt what, int n, bool forGood) {
        FaultDisk::arm(what, n, forGood);
        const auto made = PlanFile::create(plan, file);
        FaultDisk::disarm();
        const bool struck = FaultDisk::struck(), exists = std::filesystem::exists(file);
        if (made) {
            REQUIRE(exists);
        } else {
            checkSentence(made.error());
            REQUIRE_FALSE(exists);
        }
        if (exists) REQUIRE(openPlan(file)->plan == plan);
        REQUIRE_FALSE(strayFilesIn(folder));
        std::filesystem::remove(file);
        return struck;
    });
}
