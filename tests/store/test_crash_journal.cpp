// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "store/crash_journal.h"
#include "store/folder.h"
#include "store/working_session.h"

#include <cstdlib>
#include <optional>
#include <thread>

using namespace fw;
using namespace fw::testing;

TEST_CASE("edits reach the disk without being asked for, and nobody waits for them") {
    const TestFolder folder;
    Work work(smallPlan(7), 8);
    auto begun = CrashJournal::begin(folder / "state", work.plan(), {});
    REQUIRE(begun);
    CrashJournal* journal = begun->get();
    REQUIRE(journal->flush().ok());
    auto other = Database::open(journal->file(), Database::Mode::change);
    REQUIRE(other);
    // While another connection keeps the file shut nothing can be written; append() returns all the same.
    REQUIRE(other->execute("BEGIN EXCLUSIVE").ok());
    for (int k = 0; k < 50; ++k) journal->append(work.step());
    CHECK(*other->number("SELECT count(*) FROM journal_rows") == 0);
    REQUIRE(other->execute("COMMIT").ok());
    for (int k = 0; k < 2000 && *other->number("SELECT count(*) FROM journal_rows") < 50; ++k)
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    CHECK(*other->number("SELECT count(*) FROM journal_rows") == 50);
    CHECK(*other->number("SELECT count(*) FROM journal_rows WHERE length(bytes) = 0") == 0);
}

TEST_CASE("no journal where no folder can be") {
    const TestFolder folder;
    writeBytes(folder / "file", "x");
    const auto journal = CrashJournal::begin(folder / "file" / "state", smallPlan(1), {});
    REQUIRE_FALSE(journal);
    CHECK(journal.error().code == ErrorCode::cannotWrite);
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
