// SPDX-License-Identifier: GPL-3.0-or-later
// The command that says how sure verdicts are: its shape, that its figures are the ledger's, and that they
// hang together.
#include "catch.h"
#include "cli/json_answer.h"

#include <nlohmann/json.hpp>

#include <cmath>
#include <map>

using namespace fwtest;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

TEST_CASE("chance draws round the ledger that it names", "[cli]") {
    const std::string kind = GENERATE("settled", "live");
    Words words{"chance", townFile(), "--draws", "80", "--working"};
    if (kind == "live") words.emplace_back("--live");
    const Json j = jsonOf(words);
    CHECK(j.at("schema") == "fringewright.chance");
    CHECK(j.at("version") == 1);
    CHECK(j.at("draws") == 80);
    CHECK(j.at("seed") == 1);
    CHECK(j.at("ledger") == kind);
    std::map<int, Json> ledger;
    const Json whole = jsonOf({"ledger", townFile()});
    for (const Json& c : whole.at(kind).at("cells")) ledger[c.at("cell").at("id").get<int>()] = c;
    REQUIRE_FALSE(j.at("cells").empty());
    bool moved = false;
    for (const Json& c : j.at("cells")) {
        INFO(c.dump());
        const Json& line = ledger.at(c.at("cell").at("id").get<int>());
        CHECK(c.at("before") == line.at("before"));
        CHECK(c.at("ledger") == line.at("after"));
        CHECK(c.at("target") == line.at("target"));
        CHECK(c.at("congested") == line.at("congested"));
        const Json& after = c.at("after");
        CHECK(after.at("p10").get<double>() <= after.at("p50").get<double>());
        CHECK(after.at("p50").get<double>() <= after.at("p90").get<double>());
        moved = moved || after.at("p10") < after.at("p90");
        // The chance is a share of 80 draws, and agrees with the quantiles.
        const double draws = c.at("reaches").get<double>() * 80;
        CHECK(draws == Approx(std::round(draws)).margin(1e-5));
        if (c.at("target") >= after.at("p90")) CHECK(draws >= 72);
        if (c.at("target") < after.at("p10")) CHECK(draws <= 8);
        CHECK(c.at("alone").contains(c.at("hangs_on").get<std::string>()));
        CHECK(c.at("alone").size() == 4);
        CHECK(c.at("working").at("steps").back().at("value").get<double>() ==
              Approx(100 * c.at("reaches").get<double>()).margin(1e-6));
    }
    CHECK(moved);
}

TEST_CASE("chance in words names what a verdict hangs on, and another seed draws anew", "[cli]") {
    const std::string words = run({"chance", townFile(), "--draws", "40"}).out;
    CHECK_THAT(words, Contains("Chance: 40 draws round the settled ledger, seed 1"));
    CHECK_THAT(words, Contains("draws tell a chance to"));
    CHECK(run({"chance", townFile(), "--draws", "40"}).out == words);
    CHECK(run({"chance", townFile(), "--draws", "40", "--threads", "2"}).out == words);
    CHECK(run({"chance", townFile(), "--draws", "40", "--seed", "7"}).out != words);
    for (const char* bad : {"0", "-3", "100001", "many"}) {
        const Ran r = run({"chance", townFile(), "--draws", bad});
        CHECK(r.code == 2);
        CHECK_THAT(r.err, Contains("draws"));
    }
}
