// SPDX-License-Identifier: GPL-3.0-or-later
// The lock of a session. Judges from outside: other processes, and the kernel, which tells by fcntl(2) who
// holds a file. Child processes only take locks and write to pipes; what they find is checked by the parent.
#include "catch.h"
#include "store/child.h"
#include "store/folder.h"
#include "store/session_lock.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

using namespace fw;
using namespace fw::testing;

namespace {

SessionLock* taken(Result<SessionLock::TakenOrHeld>& r) {
    return r ? std::get_if<SessionLock>(&r.value()) : nullptr;
}
LockHolder* held(Result<SessionLock::TakenOrHeld>& r) {
    return r ? std::get_if<LockHolder>(&r.value()) : nullptr;
}
CannotLock* cannot(Result<SessionLock::TakenOrHeld>& r) {
    return r ? std::get_if<CannotLock>(&r.value()) : nullptr;
}

// A child that takes the lock, says so, and keeps it until it is let go or killed.
Child keeper(const std::filesystem::path& plan) {
    Child child([&](Pipe& out, Pipe& in) {
        auto lock = SessionLock::take(plan);
        out.put(taken(lock) ? 't' : 'h');
        in.get();
    });
    return child;
}

std::string wordOf(const std::string& host, long pid, const std::string& bootId, long start) {
    return "{\"format\":1,\"user\":\"kim\",\"host\":\"" + host + "\",\"pid\":" + std::to_string(pid) +
           ",\"process_start\":" + std::to_string(start) + ",\"boot_id\":\"" + bootId +
           "\",\"since\":\"2026-06-01T09:30:00Z\",\"nonce\":\"1\"}";
}

std::string thisHost() {
    char name[256] = {};
    REQUIRE(gethostname(name, sizeof name - 1) == 0);
    return name;
}
std::string thisBoot() {
    std::ifstream in("/proc/sys/kernel/random/boot_id");
    std::string id;
    std::getline(in, id);
    return id;
}

} // namespace

TEST_CASE("a lock is taken, seen by others, and leaves nothing behind") {
    const TestFolder folder;
    const auto plan = folder / "harbour.gpkg";
    const auto file = folder / ".harbour.gpkg.lock";
    CHECK_FALSE(SessionLock::holderOf(plan));
    {
        auto lock = SessionLock::take(plan);
        REQUIRE(taken(lock));
        CHECK_FALSE(taken(lock)->tookOver());
        CHECK(std::filesystem::exists(file));
        auto again = SessionLock::take(plan); // the same process: held all the same
        REQUIRE(held(again));
        CHECK(held(again)->pid == ::getpid());
        CHECK(held(again)->host == thisHost());
        CHECK(held(again)->sameMachine);
        CHECK_FALSE(held(again)->user.empty());
        CHECK(held(again)->since.size() == std::string("2026-06-01T09:30:00Z").size());
        CHECK(held(again)->sentence().find(held(again)->since) != std::string::npos);
        const auto seen = SessionLock::holderOf(plan);
        REQUIRE(seen);
        CHECK(seen->pid == ::getpid());
        CHECK(std::filesystem::exists(file)); // who was refused has not removed it

        SessionLock moved = std::move(*taken(lock));
        auto third = SessionLock::take(plan);
        CHECK(held(third));
    }
    CHECK_FALSE(std::filesystem::exists(file));
    auto next = SessionLock::take(plan);
    CHECK(taken(next));
}

TEST_CASE("all names of a plan have one lock") {
    const TestFolder folder;
    writeBytes(folder / "plan.gpkg", "x");
    std::filesystem::create_symlink(folder / "plan.gpkg", folder / "other.gpkg");
    std::filesystem::create_directory_symlink(folder.path(), folder / "way");
    auto lock = SessionLock::take(folder / "plan.gpkg");
    REQUIRE(taken(lock));
    auto byLink = SessionLock::take(folder / "other.gpkg");
    CHECK(held(byLink));
    auto byFolder = SessionLock::take(folder / "way" / "plan.gpkg");
    CHECK(held(byFolder));
}

TEST_CASE("a living process holds the lock, a killed one left it behind") {
    const TestFolder folder;
    const auto plan = folder / "plan.gpkg";
    Child child = keeper(plan);
    REQUIRE(child.get() == 't');
    auto refused = SessionLock::take(plan);
    REQUIRE(held(refused));
    CHECK(held(refused)->pid == child.pid());
    CHECK(held(refused)->sameMachine);
    CHECK(SessionLock::holderOf(plan));
    child.kill();
    CHECK(std::filesystem::exists(folder / ".plan.gpkg.lock"));
    CHECK_FALSE(SessionLock::holderOf(plan));
    auto lock = SessionLock::take(plan);
    REQUIRE(taken(lock));
    REQUIRE(taken(lock)->tookOver());
    CHECK(taken(lock)->tookOver()->pid == child.pid());
}

TEST_CASE("whatever stands in a lock file that nobody holds, it is taken over") {
    const TestFolder folder;
    const auto plan = folder / "plan.gpkg";
    const std::string deep(4000, '[');
    for (const std::string& word :
         {std::string(), std::string("not json"), std::string("{\"pid\":\"x\",\"user\":[1]}"), deep,
          std::string("[1,2]"), std::string(1 << 20, '\0'), wordOf("elsewhere", 1, "b", 1)}) {
        writeBytes(folder / ".plan.gpkg.lock", word);
        auto lock = SessionLock::take(plan);
        REQUIRE(taken(lock));
        auto second = SessionLock::take(plan);
        REQUIRE(held(second));
        CHECK(held(second)->pid == ::getpid()); // the old word is gone as a whole
    }
}

TEST_CASE("where the kernel has no locks the word in the file decides") {
    const TestFolder folder;
    const auto plan = folder / "plan.gpkg";
    const auto file = folder / ".plan.gpkg.lock";
    {
        auto lock = SessionLock::takeByWord(plan);
        REQUIRE(taken(lock));
        auto second = SessionLock::takeByWord(plan);
        REQUIRE(held(second));
        CHECK(held(second)->byWordAlone);
    }
    CHECK_FALSE(std::filesystem::exists(file));

    Child gone([](Pipe&, Pipe&) {});
    gone.wait();
    struct Case {
        const char* what;
        std::string word;
        bool stale;
    };
    for (const Case& c : {
             Case{"a process that ended", wordOf(thisHost(), gone.pid(), thisBoot(), 5), true},
             Case{"this machine before it was started anew", wordOf(thisHost(), ::getpid(), "earlier", 5),
                  true},
             Case{"our pid, started at another time", wordOf(thisHost(), ::getpid(), thisBoot(), 5), true},
             Case{"another machine", wordOf("elsewhere", gone.pid(), thisBoot(), 5), false},
             Case{"no word that can be read", "garbage", false},
         }) {
        INFO(c.what);
        writeBytes(file, c.word);
        auto lock = SessionLock::takeByWord(plan);
        CHECK((taken(lock) != nullptr) == c.stale);
        CHECK((held(lock) != nullptr) != c.stale);
        if (taken(lock)) CHECK(taken(lock)->tookOver());
        if (!c.stale) CHECK(bytesOf(file) == c.word);
    }
}

TEST_CASE("of eight that find a stale word at once one takes it") {
    const TestFolder folder;
    for (int round = 0; round < 12; ++round) {
        const auto plan = folder / ("plan" + std::to_string(round));
        Child gone([](Pipe&, Pipe&) {});
        gone.wait();
        writeBytes(folder / (".plan" + std::to_string(round) + ".lock"),
                   wordOf(thisHost(), gone.pid(), thisBoot(), 5));
        std::vector<Child> children;
        for (int k = 0; k < 8; ++k)
            children.emplace_back([&](Pipe& out, Pipe& in) {
                in.get();
                auto lock = SessionLock::takeByWord(plan);
                out.put(taken(lock) ? 't' : 'h');
                in.get();
            });
        for (Child& c : children) c.put('g');
        int winners = 0;
        for (Child& c : children) winners += c.get() == 't';
        for (Child& c : children) c.put('e');
        CHECK(winners == 1);
    }
}

TEST_CASE("of eight processes exactly one has the lock at a time") {
    const TestFolder folder;
    const auto plan = folder / "plan.gpkg";
    std::vector<Child> children;
    for (int k = 0; k < 8; ++k)
        children.emplace_back([&](Pipe& out, Pipe& in) {
            // Between the rounds the file goes and comes: that is where a lock on a file that was removed
            // would let two in.
            while (in.get() == 'g') {
                auto lock = SessionLock::take(plan);
                out.put(taken(lock) ? 't' : held(lock) ? 'h' : 'x');
                in.get();
            }
        });
    for (int round = 0; round < 60; ++round) {
        for (Child& c : children) c.put('g');
        int winners = 0, losers = 0;
        for (Child& c : children) {
            const char answer = c.get();
            winners += answer == 't';
            losers += answer == 'h';
        }
        CHECK(winners == 1);
        CHECK(losers == 7);
        for (Child& c : children) c.put('r');
    }
    for (Child& c : children) c.put('e');
}

TEST_CASE("two that take and let go without rest are never in at once") {
    const TestFolder folder;
    const auto plan = folder / "plan.gpkg";
    // The witness: made with O_EXCL by who is in. It fails for a second one.
    const auto inside = folder / "inside";
    std::vector<Child> children;
    for (int k = 0; k < 4; ++k)
        children.emplace_back([&](Pipe& out, Pipe&) {
            int entered = 0;
            bool clash = false;
            while (entered < 100 && !clash) {
                auto lock = SessionLock::take(plan);
                if (!taken(lock)) continue;
                const int fd = ::open(inside.c_str(), O_CREAT | O_EXCL | O_WRONLY, 0600);
                clash = fd < 0;
                ::close(fd);
                ::unlink(inside.c_str());
                ++entered;
            }
            out.put(clash ? 'x' : 'o');
        });
    for (Child& c : children) CHECK(c.get() == 'o');
}

TEST_CASE("where no lock file can be made the plan can only be read, and a sentence says so") {
    const TestFolder folder;
    // A folder as the lock file itself refuses everybody, root too.
    std::filesystem::create_directory(folder / ".plan.gpkg.lock");
    auto lock = SessionLock::take(folder / "plan.gpkg");
    REQUIRE(cannot(lock));
    CHECK(cannot(lock)->sentence.find("can be read") != std::string::npos);
    CHECK(std::filesystem::exists(folder / ".plan.gpkg.lock"));

    std::filesystem::create_symlink(folder / "elsewhere", folder / ".b.gpkg.lock");
    auto link = SessionLock::take(folder / "b.gpkg");
    CHECK(cannot(link));
    CHECK_FALSE(std::filesystem::exists(folder / "elsewhere"));

    writeBytes(folder / "file", "x");
    CHECK_FALSE(SessionLock::take(folder / "file" / "plan.gpkg").ok()); // a file as the folder
    CHECK_FALSE(SessionLock::take(folder / "none" / "plan.gpkg").ok());
    CHECK_FALSE(SessionLock::take("").ok());
}

TEST_CASE("a user with fewer rights is told what can be done") {
    const TestFolder folder;
    namespace fs = std::filesystem;
    fs::permissions(folder.path(), fs::perms{0755});
    fs::create_directory(folder / "shut");
    fs::create_directory(folder / "shared");
    fs::permissions(folder / "shared", fs::perms{0777});
    writeBytes(folder / "shared" / ".left.lock", wordOf("elsewhere", 1, "b", 1));
    auto ours = SessionLock::take(folder / "shared" / "ours");
    REQUIRE(taken(ours));
    fs::permissions(folder / "shut", fs::perms{0555});
    // Who runs the tests as root becomes somebody else for this; 65534 is nobody's number by custom.
    Child child([&](Pipe& out, Pipe&) {
        if (::geteuid() == 0 && ::setuid(65534) != 0) return;
        auto shut = SessionLock::take(folder / "shut" / "plan");
        out.put(cannot(shut) && cannot(shut)->sentence.find("shut") != std::string::npos ? 'c' : 'x');
        auto left = SessionLock::take(folder / "shared" / "left"); // another user's file, held by nobody
        out.put(taken(left) && taken(left)->tookOver() ? 't' : 'x');
        auto heldByUs = SessionLock::take(folder / "shared" / "ours");
        out.put(held(heldByUs) && held(heldByUs)->pid == ::getppid() ? 'h' : 'x');
    });
    CHECK(child.get() == 'c');
    CHECK(child.get() == 't');
    CHECK(child.get() == 'h');
    fs::permissions(folder / "shut", fs::perms{0755});
}
