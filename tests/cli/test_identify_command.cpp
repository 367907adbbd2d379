// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "cli/program.h"

#include <nlohmann/json.hpp>
#include <set>

using namespace fwtest;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

TEST_CASE("identify looks, and changes nothing unless told", "[cli]") {
    const std::string before = fw::testing::bytesOf(townFile());
    const Ran ran =
        run({"identify", townFile(), "--enb-range", "700-799", "--gnb-range", "9000-9099", "--json"});
    INFO(ran.err);
    REQUIRE(ran.code == 0);
    const Json j = Json::parse(ran.out);
    CHECK(j.at("schema") == "fringewright.identify");
    CHECK(j.at("applied") == false);
    REQUIRE_FALSE(j.at("cells").empty());
    std::set<std::pair<std::string, std::string>> pairs;
    for (const Json& n : j.at("neighbours"))
        pairs.emplace(n.at("cell").at("name"), n.at("neighbour").at("name"));
    for (const auto& [a, b] : pairs) CHECK(pairs.count({b, a}) == 1);
    for (const Json& f : j.at("conflicts_after")) CHECK(f.at("severity") == "note");
    const Ran words = run({"identify", townFile()});
    CHECK(words.code == 0);
    CHECK_THAT(words.out, Contains("Nothing was changed") && Contains("Neighbour relations"));
    CHECK_THAT(words.out, Contains("No range of eNB numbers") || Contains("No range of gNB numbers"));
    CHECK(fw::testing::bytesOf(townFile()) == before);
    CHECK(run({"identify", townFile(), "--threads", "1"}).out == words.out);
}

TEST_CASE("identify puts identities into a plan, which then has them", "[cli]") {
    const fw::testing::TestFolder folder;
    const auto plan = (folder / "town.plan.gpkg").string();
    std::filesystem::copy_file(townFile(), plan);
    const Words words{"identify",    plan,        "--enb-range", "700-799",
                      "--gnb-range", "9000-9099", "--apply",     "--json"};
    const Ran first = run(words);
    INFO(first.err);
    REQUIRE(first.code == 0);
    const Json one = Json::parse(first.out);
    CHECK(one.at("applied") == true);
    const auto kept = fw::openPlan(plan);
    REQUIRE(kept);
    CHECK(kept->plan.settings->identities.enb == "700-799");
    for (const Json& c : one.at("cells")) {
        const fw::ItemId id{c.at("small_cell").at("id").get<std::uint32_t>()};
        const fw::SmallCell* s = kept->plan.smallCells.find(id);
        REQUIRE(s);
        CHECK(c.at("pci") == s->pci);
        CHECK(c.at("cell_identity") == *s->identity.cell);
        CHECK(c.at("root_sequence") == *s->identity.rootSequence);
    }
    const Json two = Json::parse(run({"identify", plan, "--json"}).out);
    for (const Json& c : two.at("cells")) {
        CHECK(c.at("pci") == c.at("pci_before"));
        CHECK(c.at("pci_kept") == true);
        CHECK(c.at("root_sequence_kept") == true);
    }
    CHECK(two.at("conflicts_before") == one.at("conflicts_after"));
}

TEST_CASE("identify writes the integration sheet, and refuses what it cannot follow", "[cli]") {
    const fw::testing::TestFolder folder;
    const auto sheet = [&](const char* name) { return (folder / name).string(); };
    CHECK(run({"identify", townFile(), "--sheet", sheet("s.xlsx")}).code == 0);
    CHECK(fw::testing::bytesOf(sheet("s.xlsx")).starts_with("PK"));
    CHECK(run({"identify", townFile(), "--sheet", sheet("s.csv")}).code == 0);
    CHECK_THAT(fw::testing::bytesOf(sheet("s.csv")), Contains("PCI group N1"));
    CHECK(std::filesystem::exists(sheet("s-neighbours.csv")));
    CHECK(run({"identify", townFile(), "--sheet", sheet("s.pdf")}).code == 2);
    CHECK(run({"identify", townFile(), "--sheet", sheet("none/s.csv")}).code == 3);
    const Ran bad = run({"identify", townFile(), "--pci", "504"});
    CHECK(bad.code == 2);
    CHECK_THAT(bad.err, Contains("PCI for LTE small cells") && Contains("503"));
    CHECK(run({"identify", townFile(), "--margin", "31"}).code == 2);
    const Ran preamble = run({"identify", townFile(), "--preamble", "630000=A9"});
    CHECK(preamble.code == 2);
    CHECK_THAT(preamble.err, Contains("NR-ARFCN=FORMAT"));
}
