// SPDX-License-Identifier: GPL-3.0-or-later
// A session is killed (SIGKILL) at a random moment of its edits and saves, over and over. What it had
// reported as written must come back. The moments differ from run to run; the edits depend on the seed alone,
// so that what must come back is computed apart from file and journal. GDAL and SQLite's own check judge the
// plan file. FRINGEWRIGHT_KILLS=2000 runs more than the hundred.
#include "catch.h"
#include "store/child.h"
#include "store/folder.h"
#include "store/journal_file.h"
#include "store/plan_check.h"
#include "store/recovery.h"
#include "store/working_session.h"

#include <charconv>
#include <chrono>
#include <cstdlib>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>
#include <string_view>
#include <thread>

using namespace fw;
using namespace fw::testing;

namespace {

int runs() {
    const char* asked = std::getenv("FRINGEWRIGHT_KILLS");
    int n = 100;
    if (asked) std::from_chars(asked, asked + std::string_view(asked).size(), n);
    return n;
}

// What the child tells: a number of steps that are on disk, or where in a save it is.
constexpr std::uint32_t kSaveBegins = 0x80000001, kSaveDone = 0x80000002;

// In the child: works until it is killed, and reports how many steps are on disk for sure.
void workOn(const std::filesystem::path& state, const std::filesystem::path& planFile, const Plan& plan,
            std::uint64_t seed, Pipe& out) {
    CountedFile file(planFile); // a connection to SQLite does not outlive a fork
    auto lock = SessionLock::take(file.path());
    if (!lock || !std::holds_alternative<SessionLock>(*lock)) return;
    auto journal = CrashJournal::begin(state, plan, {file.path(), file.count(), {}, false, "0.1.0"});
    if (!journal) return;
    CrashJournal& j = **journal;
    Work work(plan, seed);
    Random dice(seed ^ 0x5a5a);
    for (std::uint32_t done = 1;; ++done) {
        j.append(work.step());
        if (dice.chance(0.5)) {
            if (!j.flush().ok()) return;
            out.putNumber(done);
        }
        if (!dice.chance(0.3)) continue;
        j.saving(file.count() + 1);
        if (!j.flush().ok()) return;
        out.putNumber(kSaveBegins);
        const Plan snapshot = work.plan();
        if (dice.chance(0.3)) j.append(work.step()), ++done;
        file.save(snapshot);
        out.putNumber(kSaveDone);
        j.saved(file.count());
        if (dice.chance(0.5) && j.flush().ok()) out.putNumber(done);
    }
}

// Steps of the seed after which the plan is this one; -1 when there is no such number in reach.
int stepsTo(const Plan& found, const Plan& start, std::uint64_t seed, std::uint32_t from,
            std::uint32_t most) {
    Work work(start, seed);
    for (std::uint32_t k = 0; k <= most; ++k) {
        if (k >= from && work.plan() == found && work.plan().lastId == found.lastId)
            return static_cast<int>(k);
        work.step();
    }
    return -1;
}

void judgeByGdal(const std::filesystem::path& file, const Plan& plan) {
    GDALAllRegister();
    static const char* const drivers[] = {"GPKG", nullptr};
    const std::unique_ptr<GDALDataset> data(
        GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_VERBOSE_ERROR, drivers));
    REQUIRE(data);
    OGRLayer* mounts = data->GetLayerByName("mounts");
    REQUIRE(mounts);
    CHECK(static_cast<std::size_t>(mounts->GetFeatureCount()) == plan.mounts.size());
    OGRLayer* buildings = data->GetLayerByName("buildings");
    REQUIRE(buildings);
    CHECK(static_cast<std::size_t>(buildings->GetFeatureCount()) == plan.scenery.buildingCount());
}

struct Tally {
    int inSave = 0;    ///< killed between the mark before a save and the one after it
    int committed = 0; ///< of these, with the save already in the file
    int replayed = 0;
};

// What is in the journal says where in a save the session died.
void tally(const std::filesystem::path& state, const std::filesystem::path& planFile, Tally& t) {
    auto plan = Database::open(planFile, Database::Mode::read);
    REQUIRE(plan);
    const auto count = plan->number("SELECT value FROM fringewright_meta WHERE name='save_count'");
    REQUIRE(count);
    for (const auto& entry : std::filesystem::directory_iterator(state)) {
        if (entry.path().extension() != ".journal" || JournalReader::isEmpty(entry.path())) continue;
        auto db = Database::open(entry.path(), Database::Mode::read);
        REQUIRE(db);
        const auto last = db->number("SELECT coalesce(max(count), -1) FROM journal_rows WHERE kind='saving'");
        REQUIRE(last);
        t.inSave += *last >= 0;
        t.committed += *last >= 0 && *last == *count;
    }
}

// Kills by the child's progress and then by the clock, so that all parts of its work are hit, on any disk.
// Gives the steps that it had reported as written.
std::uint32_t killedAfter(Child& child, Random& dice) {
    const std::uint32_t part = dice.below(3);
    std::uint32_t left = part == 0 ? dice.below(6) : 1 + dice.below(2);
    std::uint32_t reported = 0, n = 0;
    const auto take = [&] {
        const bool is = part == 0 ? n < kSaveBegins : n == (part == 1 ? kSaveBegins : kSaveDone);
        if (n < kSaveBegins) reported = n;
        return is;
    };
    while (left > 0 && child.out().number(n)) left -= take() ? 1 : 0;
    std::this_thread::sleep_for(std::chrono::microseconds(dice.below(part == 2 ? 3000 : 15'000)));
    child.kill();
    while (child.out().number(n)) take();
    return reported;
}

void killOnce(std::uint64_t seed, Tally& t) {
    const TestFolder folder;
    const auto state = folder / "state";
    const Plan start = smallPlan(seed % 5);
    const auto file = folder / "plan.gpkg";
    REQUIRE(savePlan(start, file).ok());
    Random dice(seed);
    Child child([&](Pipe& out, Pipe&) { workOn(state, file, start, seed, out); });
    const std::uint32_t reported = killedAfter(child, dice);

    if (std::filesystem::exists(state)) tally(state, file, t);
    const auto opened = openPlan(file);
    INFO((opened ? std::string() : opened.error().sentence()));
    REQUIRE(opened);
    auto lost = findLostWork(state);
    REQUIRE(lost.size() <= 1);
    Plan plan = opened->plan;
    if (!lost.empty()) {
        REQUIRE(lost.front().state == LostWork::State::ready);
        auto r = recover(lost.front());
        INFO((r ? std::string() : r.error().sentence()));
        REQUIRE(r);
        CHECK(r->notes.empty());
        CHECK(static_cast<std::int64_t>(r->edits.size()) == r->recorded);
        ++t.replayed;
        plan = std::move(r->plan);
    }
    // Nothing that was reported is missing. More may be there: what was on disk and not yet reported.
    const int steps = stepsTo(plan, start, seed, reported, reported + 200);
    CAPTURE(reported, lost.size());
    CHECK(steps >= 0);

    auto lock = SessionLock::take(file);
    REQUIRE(lock);
    REQUIRE(std::holds_alternative<SessionLock>(*lock));
    if (reported > 0) CHECK(std::get<SessionLock>(*lock).tookOver());
    const auto checked = checkPlanFile(file);
    REQUIRE(checked);
    CHECK(checked->faults.empty());
    judgeByGdal(file, opened->plan);
    if (seed % 4 != 0) return;
    REQUIRE(savePlan(plan, file).ok());
    const auto again = openPlan(file);
    REQUIRE(again);
    CHECK(again->plan == plan);
    judgeByGdal(file, plan);
}

} // namespace

TEST_CASE("a session that is killed at any moment loses nothing that was on disk", "[slow]") {
    Tally t;
    const int n = runs();
    for (int k = 0; k < n; ++k) {
        const std::uint64_t seed = 1000 + k;
        CAPTURE(seed);
        killOnce(seed, t);
    }
    WARN(n << " kills: " << t.replayed << " with edits to replay, " << t.inSave << " inside a save, "
           << t.committed << " of them after its commit");
    CHECK(t.inSave >= n / 10);
    CHECK(t.committed > 0);
    CHECK(t.replayed >= n / 4);
}
