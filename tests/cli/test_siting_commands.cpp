// SPDX-License-Identifier: GPL-3.0-or-later
// aim, propose, alternates: what they print is what core says, and --apply keeps it in the plan.
#include "catch.h"
#include "cli/program.h"
#include "siting/aim.h"
#include "siting/alternates.h"
#include "store/plan_file.h"

#include <nlohmann/json.hpp>

#include <filesystem>

using namespace fwtest;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

namespace {

// A copy of the town that a test may change.
std::string ownTown(const std::string& name) {
    const auto to = std::filesystem::path(townFile()).parent_path() / (name + ".gpkg");
    std::filesystem::copy_file(townFile(), to, std::filesystem::copy_options::overwrite_existing);
    return to.string();
}

std::string firstCell(const std::string& plan) {
    const Json j = Json::parse(run({"fit", plan, "--json"}).out);
    return j.at("fits").at(0).at("small_cell").at("name").get<std::string>();
}

} // namespace

TEST_CASE("aim prints the rose, and --apply aims the radio along a lobe", "[cli]") {
    const std::string plan = ownTown("aimed");
    const std::string cell = firstCell(plan);
    const Ran ran = run({"aim", plan, cell, "--step", "30", "--json", "--working"});
    INFO(ran.err);
    REQUIRE(ran.code == 0);
    const Json j = Json::parse(ran.out);
    CHECK(j.at("schema") == "fringewright.aim");
    REQUIRE(j.at("rose").size() == 12);
    CHECK(j.at("working").at("steps").size() >= 2);
    for (const Json& p : j.at("rose")) CHECK(p.at("blocked").get<bool>() == !p.at("why").is_null());
    REQUIRE(!j.at("lobes").empty());
    const Json best = j.at("lobes").at(0);
    const Ran words = run({"aim", plan, cell, "--step", "30", "--rose", "--apply", "1"});
    CHECK(words.code == 0);
    CHECK_THAT(words.out, Contains("Aimed along lobe 1."));
    const Json after = Json::parse(run({"aim", plan, cell, "--step", "30", "--json"}).out);
    CHECK(after.at("now").at("azimuth_true_deg") == best.at("azimuth_true_deg"));
    CHECK(after.at("now").at("fit") == best.at("fit"));
    CHECK(after.at("rose") == j.at("rose"));
    CHECK(run({"aim", plan, cell, "--apply", "99", "--step", "90"}).code == 2);
    CHECK(run({"aim", plan, "nobody"}).code == 2);
}

TEST_CASE("propose prints what clears each finding, and --apply takes one that does", "[cli]") {
    const std::string plan = ownTown("proposed");
    const std::string cell = firstCell(plan);
    const Ran ran = run({"propose", plan, "--only", cell, "--notes", "--json", "--working"});
    INFO(ran.err);
    REQUIRE(ran.code == 0);
    const Json j = Json::parse(ran.out);
    CHECK(j.at("schema") == "fringewright.propose");
    for (const Json& f : j.at("findings")) {
        CHECK(f.at("tried").size() == 6);
        if (f.at("proposals").empty()) continue;
        const auto number = std::to_string(f.at("number").get<int>());
        const Ran taken = run({"propose", plan, "--finding", number, "--apply", "1"});
        INFO(taken.err);
        CHECK(taken.code == 0);
        CHECK_THAT(taken.out, Contains("Taken: " + f.at("proposals").at(0).at("text").get<std::string>()));
        const Json review = Json::parse(run({"review", plan, "--no-remedies", "--json"}).out);
        for (const Json& now : review.at("findings"))
            if (now.at("rule") == f.at("rule") && now.at("subjects") == f.at("subjects"))
                CHECK(now.at("severity") == "note");
        break;
    }
    CHECK(run({"propose", plan, "--apply", "1"}).code == 2);
    CHECK(run({"propose", plan, "--finding", "99999"}).code == 2);
}

TEST_CASE("alternates prints other mounts and the search ring", "[cli]") {
    const std::string plan = ownTown("refused");
    const std::string cell = firstCell(plan);
    const Ran ran = run({"alternates", plan, cell, "--count", "2", "--json"});
    INFO(ran.err);
    REQUIRE(ran.code == 0);
    const Json j = Json::parse(ran.out);
    CHECK(j.at("schema") == "fringewright.alternates");
    CHECK(j.at("alternates").size() <= 2);
    CHECK(j.at("looked").get<std::size_t>() >= j.at("alternates").size());
    const Ran words = run({"alternates", plan, cell, "--working"});
    CHECK(words.code == 0);
    CHECK_THAT(words.out, Contains("relief"));
    if (!j.at("alternates").empty()) {
        CHECK(run({"alternates", plan, cell, "--apply", "1"}).code == 0);
        const Json after = Json::parse(run({"alternates", plan, cell, "--json"}).out);
        CHECK(after.at("mount") == j.at("alternates").at(0).at("mount"));
        CHECK(after.at("fit") == j.at("alternates").at(0).at("fit"));
    }
    CHECK(run({"alternates", plan, cell, "--apply", "21"}).code == 2);
}
