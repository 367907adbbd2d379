// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "intake/left_behind.h"
#include "intake/lone_file.h"
#include "intake/ogr_files.h"
#include "intake/source.h"
#include "store/folder.h"

#include <cpl_vsi.h>

#include <atomic>
#include <fstream>
#include <semaphore>
#include <thread>
#include <utility>

using namespace fw;
using namespace fw::testing;

namespace {

/// Counts how many of its kind there are.
struct Held {
    explicit Held(std::atomic<int>& n) : count(&n) { ++*count; }
    Held(Held&& from) noexcept : count(std::exchange(from.count, nullptr)) {}
    Held& operator=(Held&&) = delete;
    ~Held() {
        if (count) --*count;
    }
    std::atomic<int>* count;
};

void waitUntil(const std::function<bool()>& so) {
    while (!so()) std::this_thread::yield();
}

} // namespace

TEST_CASE("who stops waits for no work that cannot be interrupted", "[stop]") {
    struct Shared {
        std::binary_semaphore begun{0}, goOn{0};
        std::atomic<int> held = 0;
        std::atomic<bool> ended = false;
    };
    const auto shared = std::make_shared<Shared>();
    std::stop_source stop;
    std::jthread user([&] {
        shared->begun.acquire();
        stop.request_stop();
    });
    const auto value = valueUnlessStopped<Held>({stop.get_token(), {}}, [shared] {
        shared->begun.release();
        shared->goOn.acquire(); // never before the caller is back
        shared->ended = true;
        return Held(shared->held);
    });
    CHECK_FALSE(value);
    CHECK_FALSE(shared->ended);
    shared->goOn.release();
    // What came too late is let go of.
    waitUntil([&] { return shared->ended && shared->held == 0; });
}

TEST_CASE("work that nobody stops gives its value or its error", "[stop]") {
    std::stop_source stop;
    for (const Job& job : {Job{}, Job{stop.get_token(), {}}}) {
        CHECK(valueUnlessStopped<int>(job, [] { return 42; }) == 42);
        CHECK_THROWS_AS(doneUnlessStopped(job, [] { throw std::length_error("too long"); }),
                        std::length_error);
    }
    stop.request_stop();
    bool ran = false;
    CHECK_FALSE(doneUnlessStopped({stop.get_token(), {}}, [&] { ran = true; }));
    CHECK_FALSE(ran);
}

TEST_CASE("a lone file ends where a stop is asked for", "[stop]") {
    const TestFolder folder;
    const auto file = folder / "words.txt";
    std::ofstream(file) << "one two three four";
    const LoneFile lone(file);
    VSILFILE* in = VSIFOpenL(lone.path().c_str(), "rb");
    REQUIRE(in);
    char text[8] = {};
    std::stop_source stop;
    {
        const LoneReadsUntil until(stop.get_token());
        CHECK(VSIFReadL(text, 1, 4, in) == 4);
        stop.request_stop();
        CHECK(VSIFReadL(text, 1, 4, in) == 0);
    }
    CHECK(VSIFReadL(text, 1, 3, in) == 3);
    CHECK(std::string(text, 3) == "two");
    VSIFCloseL(in);
}

TEST_CASE("a file that is read whole gives the same rows to who may stop it", "[stop]") {
    Random random(5);
    const auto rows = randomFootprints(random, 40, {-20.4, 36.9}, 0.01, 0.0001);
    const TestFolder folder;
    struct Kind {
        const char* driver;
        const char* name;
    };
    for (const Kind& kind : {Kind{"LIBKML", "in.kml"}, Kind{"LIBKML", "in.kmz"}, Kind{"GML", "in.gml"},
                             Kind{"XLSX", "in.xlsx"}}) {
        INFO(kind.name);
        const auto file = folder / kind.name;
        writeFile(kind.driver, file, 4326, rows);
        std::stop_source stop;
        const auto count = [&](const Job& job) {
            const auto source = openSource(file, {}, job);
            if (!source) FAIL(source.error().sentence());
            std::size_t n = 0;
            CHECK((*source)->forEachRow(job, [&](SourceRow&) {
                ++n;
                return true;
            }));
            return n;
        };
        const std::size_t all = count({});
        CHECK(all == rows.size());
        CHECK(count({stop.get_token(), {}}) == all);
        stop.request_stop();
        const auto stopped = openSource(file, {}, {stop.get_token(), {}});
        REQUIRE_FALSE(stopped);
        CHECK(stopped.error().code == ErrorCode::cancelled);
    }
}
