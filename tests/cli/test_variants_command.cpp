// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "cli/program.h"

#include <fstream>
#include <nlohmann/json.hpp>

using namespace fwtest;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

TEST_CASE("variants prints what ledger, review and chance say of each", "[cli]") {
    const Ran ran = run({"variants", townFile(), "--draws", "40", "--json"});
    INFO(ran.err);
    REQUIRE(ran.code == 0);
    const Json j = Json::parse(ran.out);
    CHECK(j.at("schema") == "fringewright.variants");
    REQUIRE(j.at("variants").size() == smallTown().variants.size());
    for (const Json& v : j.at("variants")) {
        const auto name = v.at("variant").at("name").get<std::string>();
        INFO(name);
        const Json ledger =
            Json::parse(run({"ledger", townFile(), "--settled", "--json", "--variant", name}).out);
        double relief = 0;
        int congested = 0;
        for (const Json& c : ledger.at("settled").at("cells")) {
            if (!c.at("congested").get<bool>()) continue;
            ++congested;
            for (const Json& r : c.at("relief")) relief += 100 * r.at("use").get<double>();
        }
        CHECK(v.at("congested") == congested);
        CHECK(v.at("relief_points").get<double>() == Approx(relief).margin(1e-4));
        const Json chance =
            Json::parse(run({"chance", townFile(), "--draws", "40", "--json", "--variant", name}).out);
        if (congested) CHECK(v.at("all_reach") == chance.at("all_reach"));
        const Json info = Json::parse(run({"info", townFile(), "--json"}).out);
        for (const Json& row : info.at("variants"))
            if (row.at("name") == name) {
                CHECK(v.at("chosen") == row.at("chosen"));
                CHECK(v.at("active") == row.at("active"));
            }
    }
    const Ran words = run({"variants", townFile(), "--draws", "0"});
    CHECK(words.code == 0);
    CHECK_THAT(words.out, Contains("cells at their target"));
    CHECK_THAT(words.out, Contains("* is the active one"));
    CHECK(run({"variants", townFile(), "--draws", "-1"}).code == 2);
}

TEST_CASE("variants --working adds up to the figures", "[cli]") {
    const Ran ran = run({"variants", townFile(), "--draws", "0", "--json", "--working"});
    INFO(ran.err);
    REQUIRE(ran.code == 0);
    const Json j = Json::parse(ran.out);
    int added = 0;
    for (const Json& v : j.at("variants")) {
        double relief = 0, harm = 0;
        int within = 0;
        for (const Json& s : v.at("working").at("steps")) {
            const auto what = s.at("what").get<std::string>();
            const double value = s.at("value").get<double>();
            if (what.rfind("taken off ", 0) == 0) relief += value;
            if (what.rfind("added to ", 0) == 0) harm += value, ++added;
            if (what.rfind("use of ", 0) == 0)
                within += s.at("formula").get<std::string>().rfind("within", 0) == 0;
        }
        CHECK(relief == Approx(v.at("relief_points").get<double>()).margin(1e-4));
        CHECK(harm == Approx(v.at("harm_points").get<double>()).margin(1e-4));
        CHECK(within == v.at("reached").get<int>());
        CHECK(v.at("working").at("steps").back().at("value") == v.at("reached"));
    }
    CHECK(added > 0);
    CHECK_THAT(run({"variants", townFile(), "--draws", "0", "--working"}).out,
               Contains("=> full cells at their target"));
}

TEST_CASE("variants says what each costs, by which table, and against the active one", "[cli]") {
    const auto costs = [](const Words& more) {
        Words words{"variants", townFile(), "--draws", "0", "--json"};
        words.insert(words.end(), more.begin(), more.end());
        const Ran ran = run(words);
        INFO(ran.err);
        REQUIRE(ran.code == 0);
        return Json::parse(ran.out).at("variants");
    };
    const Json all = costs({"--working"});
    std::int64_t radios = 0;
    for (const Json& v : all) {
        const Json& cost = v.at("cost");
        CHECK(cost.at("currency") == "units");
        CHECK(cost.at("invented") == true);
        CHECK(cost.at("sites").size() == v.at("mounts").get<std::size_t>());
        std::int64_t sum = 0;
        for (const Json& s : cost.at("sites")) {
            sum += s.at("site").get<std::int64_t>() + s.at("of_radios").get<std::int64_t>();
            CHECK(s.at("of_radios") == 4000 * s.at("radios").get<std::int64_t>());
            radios += s.at("radios").get<std::int64_t>();
        }
        CHECK(cost.at("amount") == sum);
        CHECK(v.at("cost_working").at("steps").back().at("value") == cost.at("amount"));
    }
    CHECK(radios > 0);

    const fw::testing::TestFolder folder;
    const std::string file = (folder / "mine.toml").string();
    std::ofstream(file) << "currency = \"crowns\"\n[radio]\neach = 5000\n";
    const Json mine = costs({"--costs", file});
    std::int64_t before = 0, after = 0;
    for (const Json& v : all) before += v.at("cost").at("amount").get<std::int64_t>();
    for (const Json& v : mine) after += v.at("cost").at("amount").get<std::int64_t>();
    CHECK(after - before == 1000 * radios);
    CHECK(mine[0].at("cost").at("invented") == false);
    const std::string words = run({"variants", townFile(), "--draws", "0", "--costs", file}).out;
    CHECK_THAT(words, Contains("cost to build, crowns") && Contains("by the table of costs."));
    CHECK_THAT(run({"variants", townFile(), "--draws", "0"}).out,
               Contains("cost to build, units") && Contains("invented: replace them with yours"));
    const Ran gone = run({"variants", townFile(), "--draws", "0", "--costs", file + ".gone"});
    CHECK(gone.code == 3);
    CHECK_THAT(gone.err, Contains("no such file"));
}
