// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "cli/program.h"
#include "support/places.h"

#include <nlohmann/json.hpp>

using namespace fwtest;
using Json = nlohmann::json;

TEST_CASE("choose tells what it would choose, with its bound, and changes nothing", "[cli][slow]") {
    const std::string sample = fw::testing::sourceFile("sample-projects/port-merrow/port-merrow.plan.gpkg");
    const std::string before = fw::testing::bytesOf(sample);
    const Words words{"choose", sample, "--budget-count", "3", "--iterations", "40", "--json"};
    const Ran ran = run(words);
    INFO(ran.err);
    REQUIRE(ran.code == 0);
    const Json j = Json::parse(ran.out);
    CHECK(j.at("schema") == "fringewright.choose");
    int fresh = 0;
    for (const Json& c : j.at("chosen")) {
        fresh += !c.at("stands").get<bool>();
        CHECK(c.at("marginal_points").get<double>() <= c.at("alone_points").get<double>());
    }
    CHECK(fresh == 3);
    CHECK(j.at("bound").get<double>() >= j.at("relief_points").get<double>());
    Words again = words;
    again.insert(again.end(), {"--threads", "1"});
    CHECK(run(again).out == ran.out);
    CHECK(fw::testing::bytesOf(sample) == before);
    CHECK(run({"choose", townFile()}).code == 2);
    CHECK(run({"choose", townFile(), "--reach", "--budget-count", "2"}).code == 2);
    CHECK(run({"choose", townFile(), "--budget-count", "2", "--must", "nowhere"}).code == 2);
}
