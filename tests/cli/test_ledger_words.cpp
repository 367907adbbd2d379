// SPDX-License-Identifier: GPL-3.0-or-later
// The words of `ledger`: stays at the plan's own speed, and a plan without a load.
#include "catch.h"
#include "cli/program.h"

#include <nlohmann/json.hpp>

using namespace fwtest;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

namespace {

std::string saved(const fw::Plan& plan, const fw::testing::TestFolder& folder, const char* name) {
    saveOrThrow(plan, folder / name);
    return (folder / name).string();
}

fw::Plan with(fw::Plan plan, double speedKmh) {
    fw::PlanSettings s = *plan.settings;
    s.model.streetSpeedKmh = speedKmh;
    plan.settings = std::make_shared<const fw::PlanSettings>(s);
    return plan;
}

} // namespace

TEST_CASE("stays on streets are told at the speed of the plan's settings, with their steps", "[cli]") {
    const fw::testing::TestFolder folder;
    const std::string file = saved(with(smallTown(), 100), folder, "fast.plan.gpkg");
    const Ran fast = run({"ledger", "--live", "--json", "--working", file});
    REQUIRE(fast.code == 0);
    const Json usual = Json::parse(run({"ledger", "--live", "--json", townFile()}).out);
    const Json smalls = Json::parse(fast.out).at("live").at("small_cells");
    int passed = 0;
    for (std::size_t k = 0; k < smalls.size(); ++k) {
        const Json& now = smalls[k].at("dwell_s");
        const Json& then = usual.at("live").at("small_cells")[k].at("dwell_s");
        REQUIRE(now.is_null() == then.is_null());
        if (now.is_null()) continue;
        ++passed;
        // Twice as fast, half as long.
        CHECK(now.at("longest").get<double>() == Approx(then.at("longest").get<double>() / 2).margin(0.001));
        CHECK(smalls[k].at("streets").at("speed_kmh") == 100);
        const Json& steps = smalls[k].at("dwell_working").at("steps");
        CHECK(steps.size() == smalls[k].at("streets").at("stretches").get<std::size_t>() + 2);
        CHECK(steps.back().at("value").get<double>() == Approx(now.at("median").get<double>()).margin(0.001));
    }
    CHECK(passed > 0);
    const Ran words = run({"ledger", "--live", "--working", file});
    CHECK_THAT(words.out,
               Contains("on streets at 100 km/h: median stay ") && Contains("How long users on streets"));
}

TEST_CASE("a plan without a measured load says so and what to do, and is no fault", "[cli]") {
    const fw::testing::TestFolder folder;
    fw::Plan plan = smallTown();
    const std::vector<fw::Cell> cells(plan.cells.begin(), plan.cells.end());
    REQUIRE(!cells.empty());
    for (fw::Cell c : cells) {
        c.load = {};
        plan.cells.put(c);
    }
    const std::string file = saved(plan, folder, "bare.plan.gpkg");
    const Ran bare = run({"ledger", file});
    INFO(bare.out << bare.err);
    CHECK(bare.code == 0);
    CHECK_THAT(bare.out, Contains("No macro cell of the plan has a measured load") &&
                             Contains("add PLAN counters") && !Contains("Settled after") &&
                             !Contains("relief"));
    const Json j = Json::parse(run({"ledger", "--json", file}).out);
    CHECK(j.at("measured_cells") == 0);
    CHECK(j.at("settled").at("cells").empty());
    const Json full = Json::parse(run({"ledger", "--live", "--json", townFile()}).out);
    CHECK(full.at("measured_cells") == full.at("live").at("cells").size());
    CHECK_THAT(run({"ledger", townFile()}).out, !Contains("No macro cell"));
}
