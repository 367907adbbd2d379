// SPDX-License-Identifier: GPL-3.0-or-later
// The commands on the sample town: what README promises a newcomer.
#include "catch.h"
#include "cli/program.h"
#include "support/places.h"

#include <nlohmann/json.hpp>

using namespace fwtest;
using Json = nlohmann::json;

namespace {

const std::string kSample = fw::testing::sourceFile("sample-projects/port-merrow/port-merrow.plan.gpkg");

} // namespace

TEST_CASE("Port Merrow: five cells over the trigger, findings that block, the same bytes on one thread",
          "[cli][slow]") {
    const std::string before = fw::testing::bytesOf(kSample);
    const Ran info = run({"info", "--json", kSample});
    REQUIRE(info.code == 0);
    CHECK(Json::parse(info.out).at("over_trigger").size() == 5);
    const Ran review = run({"review", "--json", kSample});
    CHECK(review.code == 1);
    CHECK(review.err.empty());
    CHECK(Json::parse(review.out).at("counts").at("blocking") > 0);
    CHECK(run({"review", "--json", "--threads", "1", kSample}, {{"FRINGEWRIGHT_PLAIN_KERNELS", "1"}}).out ==
          review.out);
    const Ran ledger = run({"ledger", "--json", kSample});
    REQUIRE(ledger.code == 0);
    std::size_t congested = 0;
    const Json ledgers = Json::parse(ledger.out);
    for (const Json& cell : ledgers.at("settled").at("cells"))
        congested += cell.at("congested") == true ? 1 : 0;
    CHECK(congested == 5);
    CHECK(fw::testing::bytesOf(kSample) == before); // nothing that reads a plan changes it
}
