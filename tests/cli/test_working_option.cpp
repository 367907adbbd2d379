// SPDX-License-Identifier: GPL-3.0-or-later
// The steps behind what ledger and review print: their last step is the figure itself.
#include "catch.h"
#include "cli/json_answer.h"

#include <nlohmann/json.hpp>

using namespace fwtest;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

namespace {

Json printedJson(Words words) {
    words.emplace_back("--json");
    const Ran r = run(words);
    INFO(words.front() << ": " << r.err);
    REQUIRE(r.code <= 1); // findings that block are no fault
    return Json::parse(r.out);
}

} // namespace

TEST_CASE("ledger --working opens every figure, and says what the rim cuts off", "[cli]") {
    const Json j = printedJson({"ledger", "--live", "--working", townFile()});
    const Json& live = j.at("live");
    REQUIRE_FALSE(live.at("cells").empty());
    for (const Json& c : live.at("cells")) {
        CHECK(lastOf(c.at("working")) == Approx(100 * c.at("after").get<double>()).margin(1e-5));
        if (!c.at("holds_months").is_null())
            CHECK(lastOf(c.at("holds_working")) == Approx(c.at("holds_months").get<double>()).margin(1e-3));
    }
    int rates = 0;
    for (const Json& s : live.at("small_cells")) {
        CHECK(lastOf(s.at("working")) == Approx(100 * s.at("use").get<double>()).margin(1e-5));
        if (s.at("users").is_null()) continue;
        ++rates;
        CHECK(lastOf(s.at("users").at("low_working")) ==
              Approx(s.at("users").at("low_mbps").get<double>()).margin(1e-3));
        CHECK(s.at("users").at("low_mbps") <= s.at("users").at("median_mbps"));
    }
    CHECK(rates > 0);
    const Json& rim = j.at("rim");
    REQUIRE_FALSE(rim.at("cells").empty());
    for (const Json& c : rim.at("cells"))
        CHECK(lastOf(c.at("working")) == Approx(100 * c.at("near_rim").get<double>()).margin(1e-5));
    const std::string words = run({"ledger", "--live", "--working", townFile()}).out;
    CHECK_THAT(words, Contains("=> use after: now - taken off + interference"));
    CHECK_THAT(words, Contains("=> own use: "));
    for (const Json& remark : rim.at("remarks")) CHECK_THAT(words, Contains(remark.get<std::string>()));
    CHECK_FALSE(printedJson({"ledger", "--live", townFile()}).at("live").at("cells")[0].contains("working"));
}

TEST_CASE("review --working opens what each finding measured", "[cli]") {
    const Json j = printedJson({"review", "--no-remedies", "--working", townFile()});
    int opened = 0;
    for (const Json& f : j.at("findings")) {
        if (f.at("state") == "stale" || f.at("measured").is_null()) continue;
        INFO(f.dump());
        REQUIRE(f.contains("working"));
        opened += !f.at("working").at("steps").empty();
    }
    CHECK(opened > 5);
    const std::string words = run({"review", "--no-remedies", "--working", townFile()}).out;
    CHECK_THAT(words, Contains("=> "));
    CHECK_FALSE(printedJson({"review", "--no-remedies", townFile()}).at("findings")[0].contains("working"));
}
