// SPDX-License-Identifier: GPL-3.0-or-later
// audit with what was measured: levels show swapped sectors, counters show cells that the plan lacks.
#include "catch.h"
#include "cli/program.h"
#include "geo/frame.h"
#include "intake/audit_plan.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

using namespace fwtest;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

namespace {

PlanePoint towards(double azimuthDeg, double m) {
    constexpr double kRadian = 0.017453292519943295;
    return {m * std::sin(azimuthDeg * kRadian), m * std::cos(azimuthDeg * kRadian)};
}

// 60 levels of each cell before the sector that truly sends it: in the first site the first two are swapped.
std::string drive(const Plan& plan) {
    const auto frame = Frame::fromEpsg(plan.settings->epsg);
    REQUIRE(frame);
    std::vector<Cell> cells;
    for (const Cell& c : plan.cells) cells.push_back(c);
    std::string out = "lat;lon;rsrp;cell\n";
    for (std::size_t k = 0; k < cells.size(); ++k) {
        const Sector& sends = *plan.sectors.find(cells[k < 2 ? 1 - k : k].sector);
        const PlanePoint at = plan.macroSites.find(sends.site)->at;
        for (int n = 0; n < 60; ++n) {
            const auto geo = frame->toGeo(at + towards(sends.azimuth.deg - 10 + n % 20, 80 + 6.0 * n));
            REQUIRE(geo);
            out += fmt::format("{:.7f};{:.7f};-90;{}\n", geo->latDeg, geo->lonDeg, cells[k].name);
        }
    }
    return out;
}

Json findingsOf(const Ran& ran, const std::string& check) {
    Json out = Json::array();
    const Json all = Json::parse(ran.out);
    for (const Json& f : all.at("findings"))
        if (f.at("check") == check) out.push_back(f);
    return out;
}

struct DeskWithNetwork {
    fw::testing::TestFolder folder;
    Network network{2, 20};
    std::string plan = (folder / "net.plan.gpkg").string();

    DeskWithNetwork() { REQUIRE(savePlan(network.plan, plan).ok()); }
    std::string write(const std::string& name, const std::string& bytes) const {
        fw::testing::writeBytes(folder / name, bytes);
        return (folder / name).string();
    }
    [[nodiscard]] Ran run(const Words& words) const {
        return fwtest::run(words, {{"XDG_CONFIG_HOME", folder.path().string()}});
    }
};

} // namespace

TEST_CASE("audit --measurements names swapped sectors, and --apply puts them right", "[cli]") {
    const DeskWithNetwork desk;
    const std::string levels = desk.write("drive.csv", drive(desk.network.plan));
    CHECK(findingsOf(desk.run({"audit", desk.plan, "--json"}), "swapped-sectors").empty());
    const Ran found = desk.run({"audit", desk.plan, "--measurements", levels, "--crs", "4326", "--json"});
    INFO(found.out << found.err);
    const Json swapped = findingsOf(found, "swapped-sectors");
    REQUIRE(swapped.size() == 1);
    CHECK(swapped[0].at("edit").is_string());
    const std::string number = std::to_string(swapped[0].at("number").get<int>());
    const Ran mended =
        desk.run({"audit", desk.plan, "--measurements", levels, "--crs", "4326", "--apply", number});
    INFO(mended.out << mended.err);
    CHECK_THAT(mended.out, Contains("1 proposal is applied"));
    CHECK(findingsOf(desk.run({"audit", desk.plan, "--measurements", levels, "--crs", "4326", "--json"}),
                     "swapped-sectors")
              .empty());
    const auto now = openPlan(desk.plan);
    REQUIRE(now);
    const Cell first = *desk.network.plan.cells.begin();
    const Cell second = *std::next(desk.network.plan.cells.begin());
    CHECK(now->plan.cells.find(first.id)->sector == second.sector);
    CHECK(now->plan.cells.find(second.id)->sector == first.sector);
}

TEST_CASE("audit --counters names cells that the plan does not know", "[cli]") {
    const DeskWithNetwork desk;
    const std::string name = desk.network.plan.cells.begin()->name;
    const std::string both = desk.write("week.csv", "cell,time,dl_prb_use\n" + name +
                                                        ",2026-05-04 18:00,0.7\nQ-17,2026-05-04 18:00,0.4\n");
    const std::string before = fw::testing::bytesOf(desk.plan);
    const Ran ran = desk.run({"audit", desk.plan, "--counters", both});
    INFO(ran.out << ran.err);
    CHECK_THAT(ran.out, Contains("load-without-cell") && Contains("\"Q-17\"") && !Contains('"' + name + '"'));
    CHECK_THAT(ran.err, Contains("week.csv: 1 of 2 rows were refused"));
    CHECK(fw::testing::bytesOf(desk.plan) == before);
    // A file of nothing but unknown cells.
    const std::string strange = desk.write("other.csv", "cell,time,dl_prb_use\nQ-1,2026-05-04 18:00,0.7\n");
    CHECK_THAT(desk.run({"audit", desk.plan, "--counters", strange}).out, Contains("\"Q-1\""));
}

TEST_CASE("audit says what keeps a file of evidence from being read", "[cli]") {
    const DeskWithNetwork desk;
    const Ran gone = desk.run({"audit", desk.plan, "--counters", (desk.folder / "none.csv").string()});
    CHECK(gone.code == 3);
    CHECK(gone.out.empty());
    const std::string open = desk.write("metres.csv", "east;north;rsrp;cell\n500;600;-90;M-1/1-L18\n");
    const Ran asks = desk.run({"audit", desk.plan, "--measurements", open});
    INFO(asks.out << asks.err);
    CHECK(asks.code != 0);
    CHECK(asks.out.empty());
    CHECK_THAT(asks.err, Contains("metres.csv"));
    CHECK(desk.run({"audit", desk.plan, "--measurements", open, "--map", "nonsense"}).code == 2);
}
