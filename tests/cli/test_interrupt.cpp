// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "cli/program.h"

#include <chrono>
#include <thread>

using namespace fwtest;

// The town is large enough to keep the program busy for longer than the pause before the signal.
TEST_CASE("an interrupt ends the work with exit code 130 and no result", "[cli][slow]") {
    fw::Random random(8);
    fw::testing::RandomPlanSpec spec;
    spec.buildings = 324;
    spec.sites = 12;
    spec.mounts = 40;
    spec.areaM = 4000;
    spec.macroReachM = 3000;
    const fw::testing::TestFolder folder;
    const std::string file = (folder / "large.plan.gpkg").string();
    saveOrThrow(fw::testing::randomPlan(random, spec), file);
    Child child({"review", "--json", "--threads", "1", file}, {});
    std::this_thread::sleep_for(std::chrono::milliseconds(250));
    child.send(SIGINT);
    const auto sent = std::chrono::steady_clock::now();
    const Ran r = child.finish();
    const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - sent).count();
    CHECK(r.code == 130);
    CHECK(r.out.empty());
    CHECK(r.err.starts_with("fringewright: "));
    // 0.2 s is the promise on an idle machine; a busy one gets ten times that.
    CHECK(seconds < 2);
}
