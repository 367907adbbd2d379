// SPDX-License-Identifier: GPL-3.0-or-later
// The journal against the one judge that counts: the plan as it was in memory, byte for byte when saved.
#include "catch.h"
#include "store/crash_journal.h"
#include "store/folder.h"
#include "store/journal_file.h"
#include "store/recovery.h"
#include "store/working_session.h"

#include <csignal>
#include <cstdlib>
#include <optional>
#include <sys/resource.h>
#include <thread>

using namespace fw;
using namespace fw::testing;

namespace {

using State = LostWork::State;

// As a new file; two new files of equal plans have the same bytes (plan_file.h).
std::string savedBytes(const Plan& plan) {
    const TestFolder folder;
    const Status s = savePlan(plan, folder / "out.gpkg");
    INFO((s.ok() ? std::string() : s.error().sentence()));
    REQUIRE(s.ok());
    return bytesOf(folder / "out.gpkg");
}

std::unique_ptr<CrashJournal> journalOn(const std::filesystem::path& folder, const Plan& plan,
                                        JournalBase base, CrashJournal::OnState onState = {}) {
    base.version = "0.1.0";
    auto journal = CrashJournal::begin(folder, plan, std::move(base), std::move(onState));
    INFO((journal ? std::string() : journal.error().sentence()));
    REQUIRE(journal);
    return std::move(*journal);
}

LostWork onlyWork(const std::filesystem::path& folder) {
    auto found = findLostWork(folder);
    REQUIRE(found.size() == 1);
    return found.front();
}

Recovered broughtBack(LostWork& work) {
    auto r = recover(work);
    INFO((r ? std::string() : r.error().sentence()));
    REQUIRE(r);
    return std::move(*r);
}

bool isEmptyFolder(const std::filesystem::path& folder) { return std::filesystem::is_empty(folder); }

void doSteps(Work& work, CrashJournal& journal, int n) {
    for (int k = 0; k < n; ++k) journal.append(work.step());
}
void saveWhole(const Work& work, CrashJournal& journal, CountedFile& file) {
    journal.saving(file.count() + 1);
    REQUIRE(journal.flush().ok());
    file.save(work.plan());
    journal.saved(file.count());
}

} // namespace

TEST_CASE("what was done since the last save comes back byte for byte") {
    for (std::uint64_t seed = 1; seed <= 12; ++seed) {
        CAPTURE(seed);
        const TestFolder folder;
        Work work(smallPlan(seed), seed * 7);
        Random dice(seed);
        CountedFile file(work.plan(), folder / "plan.gpkg");
        auto journal = journalOn(folder / "state", work.plan(), {file.path(), file.count(), {}, false, {}});
        int since = 0;
        for (int round = 0; round < 4; ++round) {
            const int n = static_cast<int>(dice.below(25));
            doSteps(work, *journal, n);
            since += n;
            if (dice.chance(0.5)) continue;
            saveWhole(work, *journal, file);
            since = 0;
        }
        doSteps(work, *journal, 3);
        since += 3;
        REQUIRE(journal->flush().ok());
        journal.reset(); // without end(): a crash
        LostWork lost = onlyWork(folder / "state");
        CHECK(lost.state == State::ready);
        CHECK(lost.sentence.empty());
        CHECK(lost.edits == since);
        CHECK(lost.texts.size() == static_cast<std::size_t>(std::min(since, 20)));
        CHECK(lost.planFile == std::filesystem::canonical(file.path()));
        CHECK(lost.planName == work.plan().settings->name);
        CHECK(lost.version == "0.1.0");
        CHECK(lost.lastEdit >= lost.since);
        const Recovered r = broughtBack(lost);
        CHECK(r.plan == work.plan());
        CHECK(savedBytes(r.plan) == savedBytes(work.plan()));
        CHECK(r.path == lost.planFile);
        CHECK(r.saveCount == file.count());
        CHECK(r.edits.size() == static_cast<std::size_t>(since));
        CHECK(r.recorded == since);
        CHECK(r.notes.empty());
    }
}

TEST_CASE("a crash at any point of a save brings back what the file lacks, and nothing twice") {
    enum Point { beforeSaving, afterSaving, afterCommit, afterSaved };
    for (const Point point : {beforeSaving, afterSaving, afterCommit, afterSaved})
        for (const int during : {0, 4})
            for (const bool failedBefore : {false, true}) {
                CAPTURE(point, during, failedBefore);
                const TestFolder folder;
                Work work(smallPlan(3), 40 + during);
                CountedFile file(work.plan(), folder / "plan.gpkg");
                auto journal =
                    journalOn(folder / "state", work.plan(), {file.path(), file.count(), {}, false, {}});
                doSteps(work, *journal, 6);
                if (failedBefore) { // a save that came to nothing, on a full disk
                    journal->saving(file.count() + 1);
                    doSteps(work, *journal, 2);
                }
                const int before = failedBefore ? 8 : 6;
                const Plan snapshot = work.plan();
                if (point >= afterSaving) journal->saving(file.count() + 1);
                doSteps(work, *journal, during); // the user works on while the save runs
                REQUIRE(journal->flush().ok());
                if (point >= afterCommit) file.save(snapshot);
                if (point >= afterSaved) journal->saved(file.count());
                REQUIRE(journal->flush().ok());
                journal.reset();
                const int lack = during + (point >= afterCommit ? 0 : before);
                auto found = findLostWork(folder / "state");
                if (lack == 0) {
                    CHECK(found.empty());
                    CHECK(openPlan(file.path())->plan == work.plan());
                    clearOldWork(folder / "state", std::chrono::system_clock::now());
                    CHECK(isEmptyFolder(folder / "state"));
                    continue;
                }
                REQUIRE(found.size() == 1);
                CHECK(found.front().state == State::ready);
                const Recovered r = broughtBack(found.front());
                CHECK(r.edits.size() == static_cast<std::size_t>(lack));
                CHECK(savedBytes(r.plan) == savedBytes(work.plan()));
            }
}

TEST_CASE("a save that finds nothing to write drops nothing that is missing in the file") {
    const TestFolder folder;
    Work work(smallPlan(3), 4);
    CountedFile file(work.plan(), folder / "plan.gpkg");
    auto journal = journalOn(folder / "state", work.plan(), {file.path(), file.count(), {}, false, {}});
    Plan plan = work.plan();
    const Edit edit = work.step();
    const auto inverse = apply(plan, edit);
    REQUIRE(inverse);
    journal->append(edit);
    journal->append(*inverse);
    REQUIRE(apply(plan, *inverse));
    const std::int64_t count = file.count();
    journal->saving(count + 1);
    journal->append(edit);
    file.save(plan);
    CHECK(file.count() - count <= 1);
    journal->saved(file.count()); // the count as it is then
    journal.reset();
    LostWork lost = onlyWork(folder / "state");
    CHECK(lost.edits == 1);
    CHECK(savedBytes(broughtBack(lost).plan) == savedBytes(work.plan()));
}

TEST_CASE("what was brought back survives a second crash") {
    const TestFolder folder;
    Work work(smallPlan(4), 5);
    CountedFile file(work.plan(), folder / "plan.gpkg");
    {
        auto journal = journalOn(folder / "state", work.plan(), {file.path(), file.count(), {}, false, {}});
        doSteps(work, *journal, 10);
    }
    LostWork lost = onlyWork(folder / "state");
    Recovered r = broughtBack(lost);
    {
        auto next = journalOn(folder / "state", r.plan, {r.path, r.saveCount, {}, false, {}});
        for (Edit& e : r.edits) next->append(std::move(e));
        REQUIRE(next->flush().ok());
        REQUIRE(forget(lost).ok());
        doSteps(work, *next, 3);
    }
    lost = {};
    LostWork again = onlyWork(folder / "state");
    CHECK(again.edits == 13);
    CHECK(savedBytes(broughtBack(again).plan) == savedBytes(work.plan()));
}

TEST_CASE("a plan without a file has its base beside the journal") {
    const TestFolder folder;
    Work work(smallPlan(5), 6);
    {
        auto journal = journalOn(folder / "state", work.plan(), {{}, 0, "/data/sample/town.gpkg", false, {}});
        REQUIRE(journal->flush().ok());
    }
    CHECK(findLostWork(folder / "state").empty()); // a copy of the sample that nobody touched
    clearOldWork(folder / "state", std::chrono::system_clock::now());
    CHECK(isEmptyFolder(folder / "state"));
    {
        auto journal = journalOn(folder / "state", work.plan(), {{}, 0, "/data/sample/town.gpkg", false, {}});
        doSteps(work, *journal, 30);
    }
    LostWork lost = onlyWork(folder / "state");
    CHECK(lost.planFile.empty());
    Recovered r = broughtBack(lost);
    CHECK(savedBytes(r.plan) == savedBytes(work.plan()));
    CHECK(r.path.empty());
    CHECK(r.origin == "/data/sample/town.gpkg");
    { // brought back and not saved: the plan itself is work now, without any edit
        auto next = journalOn(folder / "state", r.plan, {{}, 0, r.origin, true, {}});
        REQUIRE(next->flush().ok());
        REQUIRE(forget(lost).ok());
    }
    lost = {};
    LostWork again = onlyWork(folder / "state");
    CHECK(again.edits == 0);
    std::filesystem::remove(baseFileOf(again.journal));
    CHECK(onlyWork(folder / "state").state == State::fileGone);
    CHECK_FALSE(recover(again).ok());
}

TEST_CASE("a living session's journal is left alone, and a closed one leaves nothing") {
    const TestFolder folder;
    Work work(smallPlan(6), 7);
    auto journal = journalOn(folder / "state", work.plan(), {});
    doSteps(work, *journal, 2);
    REQUIRE(journal->flush().ok());
    CHECK(findLostWork(folder / "state").empty());
    clearOldWork(folder / "state", std::chrono::system_clock::now() + std::chrono::hours(24 * 3650));
    CHECK(std::filesystem::exists(journal->file()));
    auto second = journalOn(folder / "state", work.plan(), {}); // two windows, one plan
    CHECK(second->file() != journal->file());
    CHECK(second->end().ok());
    CHECK(journal->end().ok());
    second.reset();
    journal.reset();
    CHECK(isEmptyFolder(folder / "state"));
}

TEST_CASE("edits reach the disk without being asked for, and nobody waits for them") {
    const TestFolder folder;
    Work work(smallPlan(7), 8);
    auto journal = journalOn(folder / "state", work.plan(), {});
    REQUIRE(journal->flush().ok());
    auto other = Database::open(journal->file(), Database::Mode::change);
    REQUIRE(other);
    // While another connection keeps the file shut nothing can be written; append() returns all the same.
    REQUIRE(other->execute("BEGIN EXCLUSIVE").ok());
    doSteps(work, *journal, 50);
    CHECK(*other->number("SELECT count(*) FROM journal_rows") == 0);
    REQUIRE(other->execute("COMMIT").ok());
    for (int k = 0; k < 2000 && *other->number("SELECT count(*) FROM journal_rows") < 50; ++k)
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    CHECK(*other->number("SELECT count(*) FROM journal_rows") == 50);
    CHECK(*other->number("SELECT count(*) FROM journal_rows WHERE length(bytes) = 0") == 0);
}

TEST_CASE("an edit of many changes comes back as one") {
    const TestFolder folder;
    Plan plan = smallPlan(8);
    Edit many{"Import trees", {}};
    for (std::uint32_t k = 0; k < 2500; ++k)
        many.changes.emplace_back(Put{Tree{{plan.lastId.v + 1 + k}, {553000.0 + k, 4084000}, 3, 9, 2.5}});
    CountedFile file(plan, folder / "plan.gpkg");
    {
        auto journal = journalOn(folder / "state", plan, {file.path(), file.count(), {}, false, {}});
        journal->append(many);
        journal->append({"Empty", {}});
    }
    REQUIRE(apply(plan, many));
    LostWork lost = onlyWork(folder / "state");
    CHECK(lost.edits == 2);
    CHECK(lost.texts == std::vector<std::string>{"Import trees", "Empty"});
    const Recovered r = broughtBack(lost);
    REQUIRE(r.edits.size() == 2);
    CHECK(r.edits.front() == many);
    CHECK(savedBytes(r.plan) == savedBytes(plan));
}

TEST_CASE("on a full disk the journal says so, keeps what it could not write, and goes on") {
    const TestFolder folder;
    Work work(smallPlan(9), 10);
    CountedFile file(work.plan(), folder / "plan.gpkg");
    std::vector<bool> told; // on the journal's thread; read after flush()
    auto journal = journalOn(folder / "state", work.plan(), {file.path(), file.count(), {}, false, {}},
                             [&](const Status& s) { told.push_back(s.ok()); });
    doSteps(work, *journal, 5);
    REQUIRE(journal->flush().ok());
    {
        // The kernel refuses to let a file grow beyond the limit, setrlimit(2): SQLite takes it for a full
        // disk.
        struct Limit {
            Limit() {
                ::getrlimit(RLIMIT_FSIZE, &was);
                std::signal(SIGXFSZ, SIG_IGN);
                rlimit low = was;
                low.rlim_cur = 8192;
                ::setrlimit(RLIMIT_FSIZE, &low);
            }
            ~Limit() { ::setrlimit(RLIMIT_FSIZE, &was); }
            rlimit was{};
        } limit;
        doSteps(work, *journal, 100);
        const Status s = journal->flush();
        REQUIRE_FALSE(s.ok());
        CHECK(s.error().code == ErrorCode::cannotWrite);
        CHECK(s.error().text.find("save often") != std::string::npos);
        CHECK_FALSE(journal->state().ok());
        doSteps(work, *journal, 20);
        CHECK_FALSE(journal->flush().ok());
    }
    CHECK(journal->flush().ok());
    CHECK(journal->state().ok());
    journal.reset();
    CHECK(told == std::vector<bool>{false, true});
    LostWork lost = onlyWork(folder / "state");
    CHECK(lost.edits == 125);
    CHECK(savedBytes(broughtBack(lost).plan) == savedBytes(work.plan()));
}

TEST_CASE("a journal that was removed says so, and begins anew with the next save") {
    const TestFolder folder;
    Work work(smallPlan(10), 11);
    CountedFile file(work.plan(), folder / "plan.gpkg");
    auto journal = journalOn(folder / "state", work.plan(), {file.path(), file.count(), {}, false, {}});
    doSteps(work, *journal, 5);
    REQUIRE(journal->flush().ok());
    std::filesystem::remove_all(folder / "state");
    doSteps(work, *journal, 2);
    CHECK_FALSE(journal->flush().ok());
    journal->saving(file.count() + 1);
    CHECK_FALSE(journal->flush().ok());
    file.save(work.plan());
    doSteps(work, *journal, 3); // while the save ran
    journal->saved(file.count());
    CHECK(journal->flush().ok());
    doSteps(work, *journal, 4);
    journal.reset();
    LostWork lost = onlyWork(folder / "state");
    CHECK(lost.edits == 7);
    CHECK(savedBytes(broughtBack(lost).plan) == savedBytes(work.plan()));
}

TEST_CASE("no journal where no folder can be") {
    const TestFolder folder;
    writeBytes(folder / "file", "x");
    const auto journal = CrashJournal::begin(folder / "file" / "state", smallPlan(1), {});
    REQUIRE_FALSE(journal);
    CHECK(journal.error().code == ErrorCode::cannotWrite);
    CHECK(findLostWork(folder / "file").empty());
    CHECK(findLostWork(folder / "none").empty());
    clearOldWork(folder / "none", std::chrono::system_clock::now());
}

TEST_CASE("journals lie where the desktop's specification puts state") {
    // XDG Base Directory Specification 0.8: $XDG_STATE_HOME, default $HOME/.local/state; relative ones are
    // ignored.
    const auto was = [](const char* name) {
        const char* v = std::getenv(name);
        return v ? std::optional<std::string>(v) : std::nullopt;
    };
    const auto state = was("XDG_STATE_HOME"), home = was("HOME");
    ::setenv("HOME", "/home/kim", 1);
    ::setenv("XDG_STATE_HOME", "/var/kim", 1);
    CHECK(stateFolder() == "/var/kim/fringewright/journals");
    ::setenv("XDG_STATE_HOME", "var/kim", 1);
    CHECK(stateFolder() == "/home/kim/.local/state/fringewright/journals");
    ::unsetenv("XDG_STATE_HOME");
    CHECK(stateFolder() == "/home/kim/.local/state/fringewright/journals");
    if (state) ::setenv("XDG_STATE_HOME", state->c_str(), 1);
    home ? ::setenv("HOME", home->c_str(), 1) : ::unsetenv("HOME");
}
