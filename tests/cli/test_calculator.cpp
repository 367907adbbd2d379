// SPDX-License-Identifier: GPL-3.0-or-later
// `calc` as a person runs it. The models themselves are checked in tests/calc.
#include "catch.h"
#include "cli/program.h"
#include "reference_cases.h"

#include <nlohmann/json.hpp>

using namespace fwtest;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

namespace {

// A case of tests/reference, run as a command.
void checkCase(const ReferenceCase& c) {
    INFO(c.where << " " << c.source << ", " << c.basis);
    Words words{"calc", "--json", c.text("model")};
    for (const auto& [key, value] : c.inputs)
        if (key != "model") words.push_back(key + "=" + value);
    const Ran r = run(words);
    REQUIRE(r.code == 0);
    CHECK(r.err.empty());
    const Json j = Json::parse(r.out);
    CHECK(j.at("schema") == "fringewright.calc");
    CHECK(j.at("version") == 1);
    CHECK(j.at("result").at("unit") == c.unit);
    CHECK(std::fabs(j.at("result").at("value").get<double>() - c.expected()) <= c.tolerance());
    CHECK_FALSE(j.at("working").at("source").get<std::string>().empty());
    CHECK_FALSE(j.at("working").at("steps").empty());
}

} // namespace

TEST_CASE("calc gives published values", "[cli]") {
    int n = 0;
    // Rec. ITU-R P.1411-11, 4.1.1; Rec. ITU-R P.1812, Annex 1, eq. (8): published test vectors.
    for (const char* file : {"p1411.txt", "free_space.txt"})
        for (const ReferenceCase& c : referenceCases(file, ""))
            if (c.basis.starts_with("published") && c.has("model") && c.toleranceText != "-") {
                checkCase(c);
                if (++n % 4 == 0) break;
            }
    CHECK(n >= 6);
}

TEST_CASE("calc in words: inputs, steps, result, source, remarks", "[cli]") {
    // Rec. ITU-R P.525-5, eq. (4) at 700 MHz and 1 km: 89.3497 dB (20 log10(4 pi d f / c), worked by hand).
    const Ran r = run({"calc", "free_space", "f_MHz=700", "d_m=1000"});
    CHECK(r.code == 0);
    CHECK(r.err.empty());
    CHECK_THAT(r.out,
               Contains("= 89.3497") && Contains(" dB\n") && Contains("Source: ") && Contains("P.525"));
    const Ran far = run({"calc", "p1411_site_general", "f_GHz=0.7", "d3D_m=700"});
    CHECK(far.code == 0);
    CHECK_THAT(far.out, Contains("Note: ") && Contains("outside the stated range"));
}

TEST_CASE("calc --list has every model with inputs, unit, range and source", "[cli]") {
    const Ran words = run({"calc", "--list"});
    const Ran r = run({"calc", "--list", "--json"});
    REQUIRE(r.code == 0);
    REQUIRE(words.code == 0);
    const Json j = Json::parse(r.out);
    CHECK(j.at("schema") == "fringewright.models");
    REQUIRE(j.at("models").size() > 40);
    for (const Json& m : j.at("models")) {
        const std::string name = m.at("name");
        INFO(name);
        CHECK_THAT(words.out, Contains(name + "  ") && Contains(m.at("source").get<std::string>()));
        CHECK_FALSE(m.at("result").get<std::string>().empty());
        for (const Json& in : m.at("inputs"))
            CHECK_THAT(words.out, Contains(in.at("name").get<std::string>()));
    }
    const Json one = Json::parse(run({"calc", "--list", "uma_los", "--json"}).out);
    REQUIRE(one.at("models").size() == 1);
    for (const Json& in : one.at("models")[0].at("inputs"))
        if (in.at("name") == "f_GHz") {
            CHECK(in.at("low") == 0.5); // TR 38.901, 7.4.1: 0.5 to 100 GHz
            CHECK(in.at("high") == 100);
        }
    CHECK(run({"calc", "--list", "uma_lo"}).code == 2);
}
