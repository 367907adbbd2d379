// SPDX-License-Identifier: GPL-3.0-or-later
// Recovery when things are not as the session left them: the plan, or the journal itself.
#include "catch.h"
#include "plan/validate.h"
#include "store/folder.h"
#include "store/journal_file.h"
#include "store/recovery.h"
#include "store/working_session.h"

using namespace fw;
using namespace fw::testing;

namespace {

namespace fs = std::filesystem;
using State = LostWork::State;

// A session that crashed: what it left in `folder`, and the plan as it stood.
struct Crashed {
    explicit Crashed(const TestFolder& folder, int steps = 8, std::uint64_t seed = 1)
        : state(folder / "state"), work(smallPlan(seed), seed), file(work.plan(), folder / "plan.gpkg") {
        auto begun = CrashJournal::begin(state, work.plan(), {file.path(), file.count(), {}, false, "0.1.0"});
        REQUIRE(begun);
        journal = (*begun)->file();
        for (int k = 0; k < steps; ++k) (*begun)->append(work.step());
        REQUIRE((*begun)->flush().ok());
    }
    [[nodiscard]] LostWork lost() const {
        auto found = findLostWork(state);
        REQUIRE(found.size() == 1);
        return found.front();
    }
    fs::path state;
    Work work;
    CountedFile file;
    fs::path journal;
};

void execute(const fs::path& file, const std::string& sql) {
    auto db = Database::open(file, Database::Mode::change);
    REQUIRE(db);
    const Status s = db->execute(sql);
    INFO((s.ok() ? std::string() : s.error().sentence()));
    REQUIRE(s.ok());
}

} // namespace

TEST_CASE("work on a plan that was saved by others comes back onto a copy") {
    const TestFolder folder;
    Crashed c(folder);
    Plan theirs = openPlan(c.file.path())->plan;
    PlanSettings s = *theirs.settings;
    s.author = "Somebody else";
    REQUIRE(apply(theirs, {"Author", {PutSettings{s}}}));
    c.file.save(theirs);
    LostWork lost = c.lost();
    CHECK(lost.state == State::fileChanged);
    CHECK(lost.sentence.find("somebody else") != std::string::npos);
    auto r = recover(lost);
    REQUIRE(r);
    CHECK(r->path.empty()); // never back into the file they saved
    CHECK(r->origin == lost.planFile);
    CHECK(r->notes.front() == lost.sentence);
    CHECK(r->edits.size() == 8);
}

TEST_CASE("replay stops at the first edit that does not fit, and says which and why") {
    const TestFolder folder;
    Plan plan = smallPlan(2);
    const Mount mount = *plan.mounts.begin();
    CountedFile file(plan, folder / "plan.gpkg");
    {
        auto journal =
            CrashJournal::begin(folder / "state", plan, {file.path(), file.count(), {}, false, {}});
        REQUIRE(journal);
        PlanSettings s = *plan.settings;
        s.author = "K. Planner";
        (*journal)->append({"Author", {PutSettings{s}}});
        Radio r;
        r.id = plan.nextId();
        r.mount = mount.id;
        (*journal)->append({"Add radio", {Put{r}}});
        (*journal)->append({"Tree", {Put{Tree{{plan.lastId.v + 2}, mount.at, 3, 9, 2.5}}}});
    }
    Plan theirs = plan;
    REQUIRE(apply(theirs, removalOf(theirs, mount.id)));
    file.save(theirs);
    auto found = findLostWork(folder / "state");
    REQUIRE(found.size() == 1);
    const auto r = recover(found.front());
    REQUIRE(r);
    CHECK(r->edits.size() == 1);
    CHECK(r->recorded == 3);
    CHECK(r->plan.settings->author == "K. Planner");
    REQUIRE(r->notes.size() == 2);
    CHECK(r->notes.back().find("1 of 3") != std::string::npos);
    CHECK(r->notes.back().find("Add radio") != std::string::npos);
}

TEST_CASE("a plan that is not where it was can be put back") {
    const TestFolder folder;
    Crashed c(folder);
    fs::rename(c.file.path(), folder / "away.gpkg");
    LostWork lost = c.lost();
    CHECK(lost.state == State::fileGone);
    CHECK(lost.edits == 8);
    CHECK_FALSE(recover(lost).ok());
    lost = {};
    writeBytes(c.file.path(), "not a plan");
    CHECK(c.lost().state == State::fileGone);
    fs::remove(c.file.path());
    const CountedFile another(smallPlan(77), c.file.path()); // with the same count
    execute(c.file.path(), "UPDATE settings SET value='another' WHERE name='uid'");
    CHECK(c.lost().state == State::fileChanged);
    fs::remove(c.file.path());
    fs::rename(folder / "away.gpkg", c.file.path());
    lost = c.lost();
    CHECK(lost.state == State::ready);
    const auto r = recover(lost);
    REQUIRE(r);
    CHECK(r->plan == c.work.plan());
}

TEST_CASE("work is brought back by one session at a time") {
    const TestFolder folder;
    const Crashed c(folder);
    LostWork lost = c.lost(), seenByAnother = c.lost();
    REQUIRE(recover(lost));
    CHECK(findLostWork(c.state).empty());
    CHECK_FALSE(recover(seenByAnother).ok());
    CHECK_FALSE(forget(seenByAnother).ok());
    REQUIRE(recover(lost)); // ours may try again
    REQUIRE(forget(lost).ok());
    lost = {};
    CHECK(fs::is_empty(c.state));
    const auto late = recover(seenByAnother);
    REQUIRE_FALSE(late);
    CHECK(late.error().code == ErrorCode::notFound);
}

TEST_CASE("declined work is kept for thirty days, other work for good") {
    using std::chrono::hours;
    const TestFolder folder;
    const Crashed c(folder);
    const auto now = std::chrono::system_clock::now();
    clearOldWork(c.state, now + hours(24 * 3650));
    LostWork lost = c.lost();
    CHECK_FALSE(lost.declinedAt);
    REQUIRE(decline(lost).ok());
    CHECK(lost.declinedAt);
    CHECK(c.lost().declinedAt == lost.declinedAt);
    clearOldWork(c.state, now + hours(24 * 29));
    LostWork still = c.lost();
    CHECK(recover(still));
    still = {};
    clearOldWork(c.state, now + hours(24 * 30 + 1));
    CHECK(findLostWork(c.state).empty());
    CHECK(fs::is_empty(c.state));
}

TEST_CASE("a save that was broken off is not taken for a later one of somebody else's") {
    const TestFolder folder;
    Work work(smallPlan(3), 4);
    CountedFile file(work.plan(), folder / "plan.gpkg");
    {
        auto journal =
            CrashJournal::begin(folder / "state", work.plan(), {file.path(), file.count(), {}, false, {}});
        REQUIRE(journal);
        for (int k = 0; k < 5; ++k) (*journal)->append(work.step());
        (*journal)->saving(file.count() + 1); // never done
        (*journal)->append(work.step());
    }
    auto found = findLostWork(folder / "state");
    REQUIRE(found.size() == 1);
    CHECK(found.front().edits == 6);
    REQUIRE(decline(found.front()).ok());
    Plan theirs = openPlan(file.path())->plan;
    PlanSettings settings = *theirs.settings;
    settings.author = "Somebody else";
    REQUIRE(apply(theirs, {"Author", {PutSettings{settings}}}));
    file.save(theirs); // reaches the count that the broken-off save would have had
    found = findLostWork(folder / "state");
    REQUIRE(found.size() == 1);
    CHECK(found.front().state == State::fileChanged);
    CHECK(found.front().edits == 6);
}

TEST_CASE("a damaged journal is listed with a sentence, never deleted, never run") {
    struct Case {
        const char* what;
        std::string sql;
    };
    for (const Case& damage : {
             Case{"a table is missing", "DROP TABLE journal_rows"},
             Case{"a view for a table",
                  "DROP TABLE journal_rows; CREATE VIEW journal_rows AS SELECT 1 AS seq, 'edit' "
                  "AS kind, '' AS time, '' AS text, 0 AS count, 0 AS more, x'00' AS bytes"},
             Case{"a table too many", "CREATE TABLE more (a)"},
             Case{"a trigger", "CREATE TRIGGER t AFTER DELETE ON journal_rows BEGIN SELECT 1; END"},
             Case{"a newer format", "UPDATE journal_head SET value=2 WHERE name='format'"},
             Case{"no format", "DELETE FROM journal_head WHERE name='format'"},
             Case{"a text for the count", "UPDATE journal_head SET value='x' WHERE name='save_count'"},
             Case{"no plan file", "DELETE FROM journal_head WHERE name='plan_file'"},
             Case{"a head value beyond all bounds",
                  "UPDATE journal_head SET value=hex(zeroblob(1000000)) WHERE name='plan_name'"},
         }) {
        INFO(damage.what);
        const TestFolder folder;
        const Crashed c(folder);
        execute(c.journal, damage.sql);
        const std::string before = bytesOf(c.journal);
        LostWork lost = c.lost();
        CHECK(lost.state == State::damaged);
        CHECK_FALSE(lost.sentence.empty());
        CHECK_FALSE(recover(lost).ok());
        lost = {};
        clearOldWork(c.state, std::chrono::system_clock::now() + std::chrono::hours(24 * 3650));
        CHECK(bytesOf(c.journal) == before);
        lost = c.lost();
        CHECK(decline(lost).ok());
        CHECK(forget(lost).ok());
        CHECK(fs::is_empty(c.state));
    }
}

TEST_CASE("rows that cannot be read end the replay where they stand") {
    for (const char* sql :
         {"UPDATE journal_rows SET bytes=x'ff' WHERE seq=4", "UPDATE journal_rows SET bytes=NULL WHERE seq=4",
          "UPDATE journal_rows SET bytes='text' WHERE seq=4",
          "UPDATE journal_rows SET bytes=zeroblob(70000000) WHERE seq=4"}) {
        INFO(sql);
        const TestFolder folder;
        const Crashed c(folder);
        execute(c.journal, sql);
        LostWork lost = c.lost();
        CHECK(lost.state == State::ready);
        const auto r = recover(lost);
        REQUIRE(r);
        CHECK(r->edits.size() == 3);
        CHECK(r->recorded == 8);
        REQUIRE(r->notes.size() == 1);
        CHECK(r->notes.front().find("3 of 8") != std::string::npos);
    }
}

TEST_CASE("whatever bytes a journal has, the start is not in danger") {
    const TestFolder folder;
    const Crashed c(folder, 30);
    const std::string good = bytesOf(c.journal);
    Random random(99);
    int readable = 0, refused = 0;
    for (int k = 0; k < 300; ++k) {
        std::string bad = good;
        if (k % 3 == 0)
            bad.resize(random.below(static_cast<std::uint32_t>(good.size())));
        else
            for (std::uint32_t n = 1 + random.below(k % 3 == 1 ? 3 : 200); n > 0; --n)
                bad[random.below(static_cast<std::uint32_t>(k % 2 ? bad.size() : 200))] =
                    static_cast<char>(random.below(256));
        writeBytes(c.journal, bad);
        for (LostWork& lost : findLostWork(c.state)) {
            const auto r = recover(lost);
            ++(r ? readable : refused);
            if (r) CHECK(validateReferences(r->plan).empty());
            if (!r) CHECK_FALSE(r.error().sentence().empty());
        }
    }
    CHECK(readable > 20);
    CHECK(refused > 20);
}

TEST_CASE("what is no journal is none of recovery's business") {
    const TestFolder folder;
    const Crashed c(folder);
    fs::create_directory(c.state / "folder.journal");
    fs::create_symlink(c.journal, c.state / "link.journal");
    writeBytes(c.state / "notes.txt", "x");
    writeBytes(c.state / "broken-off.journal", ""); // made, and nothing written yet
    writeBytes(c.state / "orphan.base.gpkg", "x");
    CHECK(findLostWork(c.state).size() == 1);
    clearOldWork(c.state, std::chrono::system_clock::now());
    CHECK_FALSE(fs::exists(c.state / "broken-off.journal"));
    CHECK_FALSE(fs::exists(c.state / "orphan.base.gpkg"));
    CHECK(fs::exists(c.state / "notes.txt"));
    CHECK(fs::exists(c.state / "folder.journal"));
    CHECK(fs::exists(c.journal));
}
