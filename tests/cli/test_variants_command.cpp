// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "cli/program.h"

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
