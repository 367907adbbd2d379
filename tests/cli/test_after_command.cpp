// SPDX-License-Identifier: GPL-3.0-or-later
// after: from counters to a verdict, and what was learnt into the plan.
#include "acceptance/hour_table.h"
#include "catch.h"
#include "cli/program.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

using namespace fwtest;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

namespace {

constexpr std::int32_t kOnAir = kMonday + 14; // 2026-05-18

/// A plan, and counters of it in which each cell that the ledger relieves loses `share` of what it predicts,
/// while all rise by two points.
struct DeskWithLedger {
    fw::testing::TestFolder folder;
    std::string plan = folder / "town.plan.gpkg";

    DeskWithLedger() {
        fw::Random random(41);
        fw::testing::RandomPlanSpec spec;
        spec.sites = 3;
        spec.mounts = 5;
        spec.buildings = 150;
        fw::Plan town = fw::testing::randomPlan(random, spec);
        fw::Edit edit;
        for (fw::Cell c : town.cells) {
            c.load.date = "2026-05-03";
            c.load.dlPrbUse = 0.5 + 0.01 * static_cast<double>(c.id.v % 7);
            c.load.dailyDlPrbUse.assign(14, *c.load.dlPrbUse);
            edit.changes.emplace_back(fw::Put{c});
        }
        REQUIRE(fw::apply(town, edit).ok());
        saveOrThrow(town, plan);
    }
    [[nodiscard]] Ran run(const Words& words) const {
        return fwtest::run(words, {{"XDG_CONFIG_HOME", folder.path().string()}});
    }
    std::string write(const std::string& name, double share, std::int32_t from, std::int32_t to) const {
        const Json ledger = Json::parse(run({"ledger", plan, "--settled", "--json"}).out);
        std::string text = kHourHead;
        int k = 0;
        for (const Json& c : ledger.at("settled").at("cells")) {
            const double before = c.at("before").get<double>(), relief = before - c.at("after").get<double>();
            const double drift = 0.02 + 0.001 * (k++ % 3 - 1);
            for (std::int32_t day = from; day <= to; ++day)
                text += dayRows(c.at("cell").at("name").get<std::string>(), day,
                                before + (day < kOnAir ? 0 : drift - share * relief));
        }
        fw::testing::writeBytes(folder / name, text);
        return folder / name;
    }
};

} // namespace

TEST_CASE("after tells relief target by target, and puts the lesson into the plan when asked", "[cli]") {
    const DeskWithLedger desk;
    const std::string file = desk.write("all.csv", 0.7, kMonday, kOnAir + 28);
    const std::string before = fw::testing::bytesOf(desk.plan);
    const Ran words = desk.run({"after", desk.plan, file, "--on-air", "2026-05-18"});
    INFO(words.err << words.out);
    CHECK(words.code == 0);
    CHECK_THAT(words.out, Contains("State: 4 weeks (28 days after)") && Contains("predicted  measured") &&
                              Contains("Untouched cells: ") && Contains("Lesson: Set regrowth to ") &&
                              Contains("--apply puts it into the plan"));
    CHECK(fw::testing::bytesOf(desk.plan) == before);

    const Words asked{"after", desk.plan, file, "--on-air", "2026-05-18", "--working", "--json", "--apply"};
    const Json j = Json::parse(desk.run(asked).out);
    CHECK(j.at("schema") == "fringewright.after");
    CHECK(j.at("state") == "4 weeks");
    REQUIRE(!j.at("targets").empty());
    REQUIRE(j.at("controls").size() >= 5);
    for (const Json& t : j.at("targets")) {
        const double error = t.at("standard_error").get<double>();
        CHECK(t.at("measured").get<double>() ==
              Approx(0.7 * t.at("predicted").get<double>()).margin(4 * error + 1e-4));
        CHECK(t.at("days_after") == 28);
        CHECK(t.at("working").at("steps").back().at("value").get<double>() ==
              Approx(100 * t.at("measured").get<double>()).margin(1e-3));
    }
    CHECK(j.at("ratio_working").at("steps").back().at("value").get<double>() ==
          Approx(j.at("ratio").get<double>()).margin(1e-4));
    CHECK(j.at("ratio").get<double>() == Approx(0.7).margin(0.05));
    CHECK(j.at("lesson").at("applied") == true);
    const auto opened = fw::openPlan(desk.plan);
    REQUIRE(opened.ok());
    CHECK(opened->plan.settings->model.regrowth == Approx(0.30).margin(0.051));
    // Learnt once, there is nothing left to learn.
    const Ran again = desk.run({"after", desk.plan, file, "--on-air", "2026-05-18", "--apply"});
    CHECK(again.code == 1);
    CHECK_THAT(again.out, Contains("No lesson: ") && Contains("already"));
}

TEST_CASE("after takes the plan's own days for those before, and says which state it is in", "[cli]") {
    const DeskWithLedger desk;
    const std::string file = desk.write("after.csv", 0.9, kOnAir, kOnAir + 4);
    const Ran words = desk.run({"after", desk.plan, file});
    INFO(words.err << words.out);
    CHECK(words.code == 0);
    CHECK_THAT(words.out, Contains("are those that the plan keeps, up to 2026-05-03") &&
                              Contains("State: 72 h (5 days after)") && Contains("No lesson: 5 days"));
    const Ran apply = desk.run({"after", desk.plan, file, "--apply"});
    CHECK(apply.code == 1);
    const std::string first = desk.write("first.csv", 0.9, kMonday, kOnAir - 1);
    const Json two = Json::parse(desk.run({"after", desk.plan, file, "--before", first, "--json"}).out);
    CHECK(two.at("days_before_from_plan") == 0);
    CHECK(two.at("state") == "72 h");
}

TEST_CASE("after refuses what it cannot follow, in a sentence, and changes nothing", "[cli]") {
    const DeskWithLedger desk;
    const std::string before = fw::testing::bytesOf(desk.plan);
    const std::string file =
        desk.write("after.csv", 0.9, kMonday - 30, kMonday - 20); // from before its loads
    const Ran open = desk.run({"after", desk.plan, file});
    CHECK(open.code == 1);
    CHECK_THAT(open.out, Contains("question: Which days are from before?") && Contains("--on-air"));
    const Ran json = desk.run({"after", desk.plan, file, "--json"});
    CHECK(json.code == 1);
    CHECK(Json::parse(json.out).at("usable") == false);
    const Ran day = desk.run({"after", desk.plan, file, "--on-air", "18.5.2026"});
    CHECK(day.code == 2);
    CHECK_THAT(day.err, Contains("YYYY-MM-DD"));
    CHECK(desk.run({"after", desk.plan, desk.folder / "none.csv"}).code == 3);
    CHECK(desk.run({"after", desk.plan}).code == 2);
    CHECK(desk.run({"after", desk.plan, file, "--map", "colour=red"}).code == 3);
    CHECK(fw::testing::bytesOf(desk.plan) == before);
}
