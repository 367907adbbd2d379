// SPDX-License-Identifier: GPL-3.0-or-later
// check and audit: exit codes, words and JSON; a repaired copy that the other commands take.
#include "catch.h"
#include "cli/program.h"
#include "gpkg/sqlite.h"
#include "store/session_lock.h"

#include <algorithm>
#include <nlohmann/json.hpp>

using namespace fwtest;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

TEST_CASE("check of a sound plan: exit code 0 and one sentence", "[cli]") {
    const Ran words = run({"check", townFile()});
    CHECK(words.code == 0);
    CHECK(words.out == "The plan is sound.\n");
    CHECK(words.err.empty());
    const Json j = Json::parse(run({"check", "--json", townFile()}).out);
    CHECK(j.at("schema") == "fringewright.check");
    CHECK(j.at("version") == 1);
    CHECK(j.at("sound") == true);
    CHECK(j.at("faults").empty());
    CHECK(j.at("repaired").is_null());
}

TEST_CASE("check of a damaged plan names each fault, and writes a copy that opens", "[cli]") {
    const fw::testing::TestFolder folder;
    const auto file = folder / "town.plan.gpkg", copy = folder / "copy.plan.gpkg";
    std::filesystem::copy_file(townFile(), file);
    REQUIRE(fw::Database::open(file, fw::Database::Mode::change)
                ->execute("UPDATE sectors SET height_m=-3 WHERE uid=(SELECT max(uid) FROM sectors);"
                          "UPDATE trees SET geom=NULL WHERE uid=(SELECT min(uid) FROM trees)")
                .ok());
    const std::string before = fw::testing::bytesOf(file);
    const Ran words = run({"check", file.string()});
    CHECK(words.code == 1);
    CHECK(words.err.empty());
    CHECK_THAT(words.out, Contains("height is -3 m") && Contains("table trees") &&
                              Contains("Leaves the row out.") && Contains("--repair OUT"));
    const Json j = Json::parse(run({"check", file.string(), "--repair", copy.string(), "--json"}).out);
    CHECK(j.at("sound") == false);
    // The sector, its two cells, and the tree.
    REQUIRE(j.at("faults").size() == 4);
    CHECK(std::count(words.out.begin(), words.out.end(), '\n') == 5);
    for (const Json& fault : j.at("faults")) {
        CHECK(fault.at("severity") == "fault");
        CHECK(fault.at("repair") == "Leaves the row out.");
        CHECK(fault.at("uid").is_number());
    }
    CHECK(j.at("repaired").at("file") == copy.string());
    CHECK(j.at("repaired").at("sound") == true);
    CHECK(j.at("repaired").at("rebuilt") == false);
    CHECK(run({"info", copy.string()}).code == 0);
    CHECK(run({"check", copy.string()}).code == 0);
    CHECK(fw::testing::bytesOf(file) == before);
    const Ran again = run({"check", file.string(), "--repair", copy.string()});
    CHECK(again.code == 3);
    CHECK(again.out.empty());
    CHECK_THAT(again.err, Contains("already there"));
    CHECK(run({"check", (folder / "none.gpkg").string()}).code == 3);
}

TEST_CASE("audit names what is doubtful, proposes, and leaves the plan as it is", "[cli]") {
    const fw::testing::TestFolder folder;
    const auto file = folder / "town.plan.gpkg";
    std::filesystem::copy_file(townFile(), file);
    const auto change = [&](const char* sql) {
        REQUIRE(fw::Database::open(file, fw::Database::Mode::change)->execute(sql).ok());
    };
    const Json sound = Json::parse(run({"audit", "--json", file.string()}).out);
    CHECK(sound.at("schema") == "fringewright.audit");
    CHECK(sound.at("version") == 1);
    CHECK(sound.at("counts").at("block") == 0);
    change("UPDATE sectors SET height_m=0 WHERE uid=(SELECT min(uid) FROM sectors)");
    const std::string before = fw::testing::bytesOf(file);
    const Ran words = run({"audit", file.string()});
    CHECK(words.code == 0);
    CHECK(words.err.empty());
    CHECK_THAT(words.out, Contains("warn: height: ") && Contains("stands 0.0 m above ground.") &&
                              Contains("-> Find out the height of") && Contains("Nothing was changed."));
    const Json j = Json::parse(run({"audit", file.string(), "--json"}).out);
    CHECK(j.at("counts").at("warn") == sound.at("counts").at("warn").get<int>() + 1);
    const auto& findings = j.at("findings");
    const auto height = std::find_if(findings.begin(), findings.end(),
                                     [](const Json& f) { return f.at("check") == "height"; });
    REQUIRE(height != findings.end());
    CHECK(height->at("measured") == Json{{"value", 0.0}, {"unit", "m"}});
    CHECK(height->at("subjects").size() == 1);
    CHECK(height->at("edit").is_string());
    CHECK(fw::testing::bytesOf(file) == before);
    change("UPDATE cells SET channel=7000 WHERE uid=(SELECT min(uid) FROM cells)");
    CHECK(run({"audit", file.string()}).code == 1);
    CHECK(run({"audit", (folder / "none.gpkg").string()}).code == 3);
}

TEST_CASE("audit applies what it is told by number, leaves the rest, and then lists it no more", "[cli]") {
    const fw::testing::TestFolder folder;
    const auto file = folder / "town.plan.gpkg";
    std::filesystem::copy_file(townFile(), file);
    const auto change = [&](const char* sql) {
        REQUIRE(fw::Database::open(file, fw::Database::Mode::change)->execute(sql).ok());
    };
    const auto audit = [&] {
        return Json::parse(run({"audit", file.string(), "--json"}).out).at("findings");
    };
    // Two faults in one sector, one in another, and one that only a person can mend.
    change("UPDATE sectors SET height_m=0, mechanical_tilt_deg=0, electrical_tilt_deg=0 WHERE uid="
           "(SELECT min(uid) FROM sectors)");
    change("UPDATE sectors SET height_m=1 WHERE uid=(SELECT max(uid) FROM sectors)");
    change("UPDATE cells SET name=(SELECT name FROM cells WHERE uid=(SELECT max(uid) FROM cells)) WHERE uid="
           "(SELECT min(uid) FROM cells)");
    const Json before = audit();
    const auto numbersOf = [](const Json& findings, const char* check) {
        std::vector<int> out;
        for (const Json& f : findings)
            if (f.at("check") == check) out.push_back(f.at("number").get<int>());
        return out;
    };
    for (std::size_t k = 0; k < before.size(); ++k) CHECK(before[k].at("number") == k + 1);
    const auto heights = numbersOf(before, "height"), names = numbersOf(before, "name-twice"),
               tilts = numbersOf(before, "no-tilt");
    REQUIRE(heights.size() == 2);
    REQUIRE(names.size() == 1);
    REQUIRE(!tilts.empty());

    const std::string bytes = fw::testing::bytesOf(file);
    for (const std::string& wrong : {std::to_string(names[0]), std::to_string(before.size() + 1),
                                     std::string("0"), std::string("1,"), std::string("both")}) {
        const Ran refused = run({"audit", file.string(), "--apply", wrong});
        INFO(wrong << ": " << refused.err);
        CHECK(refused.code == 2);
        CHECK(refused.out.empty());
        CHECK(refused.err.size() > 30);
    }
    CHECK(fw::testing::bytesOf(file) == bytes);

    const Ran one = run({"audit", file.string(), "--apply", std::to_string(heights[1])});
    CHECK(one.code == 0);
    CHECK_THAT(one.out, Contains("-> applied: Find out the height of") && Contains("1 proposal is applied."));
    CHECK(numbersOf(audit(), "height").size() == 1);
    const Json all = Json::parse(run({"audit", file.string(), "--apply", "all", "--json"}).out);
    std::size_t can = 0;
    for (const Json& f : all.at("findings")) {
        can += f.at("edit").is_string();
        CHECK((f.at("applied") == true || f.at("left") == true) == f.at("edit").is_string());
    }
    CHECK(all.at("applied").get<std::size_t>() > 1);
    CHECK(all.at("applied").get<std::size_t>() <= can);
    const Json left = audit();
    CHECK(numbersOf(left, "height").empty());
    CHECK(numbersOf(left, "name-twice").size() == 1);
    // Both faults of the one sector are mended: neither proposal wrote over the other.
    const auto opened = fw::openPlan(file);
    REQUIRE(opened.ok());
    const fw::Sector& first = *opened->plan.sectors.begin();
    CHECK(first.height.m > 3);
    CHECK(first.mechanicalTiltDeg + first.electricalTiltDeg > 0);
    // Held by another session: nothing is written.
    const std::string held = fw::testing::bytesOf(file);
    auto lock = fw::SessionLock::take(file);
    REQUIRE(lock.ok());
    const Json rest = audit();
    if (const auto n =
            std::find_if(rest.begin(), rest.end(), [](const Json& f) { return f.at("edit").is_string(); });
        n != rest.end())
        CHECK(run({"audit", file.string(), "--apply", std::to_string(n->at("number").get<int>())}).code == 3);
    CHECK(fw::testing::bytesOf(file) == held);
}
