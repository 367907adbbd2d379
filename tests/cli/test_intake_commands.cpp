// SPDX-License-Identifier: GPL-3.0-or-later
// new, add and template: from nothing to a plan, with words, JSON and exit codes.
#include "catch.h"
#include "cli/program.h"

#include <nlohmann/json.hpp>

using namespace fwtest;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

namespace {

/// A folder with a plan, and settings of its own.
struct Desk {
    [[nodiscard]] std::string path(const std::string& name) const { return (folder / name).string(); }
    std::string write(const std::string& name, const std::string& bytes) const {
        fw::testing::writeBytes(folder / name, bytes);
        return path(name);
    }
    [[nodiscard]] Ran run(const Words& words) const {
        return fwtest::run(words, {{"XDG_CONFIG_HOME", folder.path().string()}});
    }
    fw::testing::TestFolder folder;
};

} // namespace

TEST_CASE("new makes an empty plan that opens, and leaves a file that is there alone", "[cli]") {
    const Desk desk;
    const std::string plan = desk.path("town.plan.gpkg");
    const Ran made = desk.run({"new", plan, "--epsg", "32627", "--date", "2026-10-05"});
    INFO(made.err);
    CHECK(made.code == 0);
    CHECK_THAT(made.out, Contains("UTM zone 27N"));
    CHECK(desk.run({"check", plan}).code == 0);
    const Json info = Json::parse(desk.run({"info", plan, "--json"}).out);
    CHECK(info.at("plan").at("name") == "town");
    CHECK(info.at("plan").at("date") == "2026-10-05");
    const std::string before = fw::testing::bytesOf(plan);
    const Ran again = desk.run({"new", plan, "--epsg", "32627"});
    CHECK(again.code == 3);
    CHECK(fw::testing::bytesOf(plan) == before);
    CHECK(desk.run({"new", desk.path("b.plan.gpkg")}).code == 2);
    CHECK(desk.run({"new", desk.path("b.plan.gpkg"), "--epsg", "4326"}).code == 2);
    CHECK_FALSE(std::filesystem::exists(desk.path("b.plan.gpkg")));
    // By a place: its zone is that of 20.4 W, 27 (zones of 6 deg from 180 W).
    const Ran at = desk.run({"new", desk.path("c.plan.gpkg"), "--at", "36.9312, -20.4187", "--side", "2"});
    CHECK(at.code == 0);
    CHECK_THAT(at.out, Contains("UTM zone 27N"));
}

TEST_CASE("add says what is in a file, takes the good rows in and lists the others", "[cli]") {
    const Desk desk;
    const std::string plan = desk.path("town.plan.gpkg");
    REQUIRE(desk.run({"new", plan, "--at", "36.9312, -20.4187"}).code == 0);
    const std::string file = desk.write("poles.csv", "Candidate ID;Type;Lat;Lon;Height AGL [m]\n"
                                                     "W-1;wall;36,9312;-20,4187;7,5\n"
                                                     "W-2;wall;36,9313;-20,4188;7,5x\n");
    const std::string before = fw::testing::bytesOf(plan);
    const Ran dry = desk.run({"add", plan, "mounts", file, "--dry-run"});
    INFO(dry.out << dry.err);
    CHECK(dry.code == 1);
    CHECK(fw::testing::bytesOf(plan) == before);
    CHECK_THAT(dry.out, Contains("2 rows: 1 good, 1 refused") && Contains("line 3, Height AGL [m]") &&
                            Contains("1 mount added") && Contains("--dry-run"));
    const std::string refused = desk.path("refused.csv");
    const Ran taken = desk.run({"add", plan, "mounts", file, "--json", "--refused", refused});
    const Json j = Json::parse(taken.out);
    CHECK(taken.code == 1);
    CHECK(j.at("schema") == "fringewright.add");
    CHECK(j.at("taken") == true);
    CHECK(j.at("rows") == 2);
    CHECK(j.at("refusals").at(0).at("row") == 3);
    CHECK_THAT(fw::testing::bytesOf(refused), Contains("W-2"));
    CHECK_THAT(desk.run({"info", plan}).out, Contains("mount"));
    CHECK(desk.run({"check", plan}).code == 0);
}

TEST_CASE("add remembers a mapping by the headers, unless it is told to forget", "[cli]") {
    const Desk desk;
    const std::string plan = desk.path("town.plan.gpkg");
    REQUIRE(desk.run({"new", plan, "--at", "36.9312, -20.4187"}).code == 0);
    const auto table = [&](int k) {
        return desk.write("t" + std::to_string(k) + ".csv", "name,lat,lon,REACH\nP-" + std::to_string(k) +
                                                                ",36.931" + std::to_string(k) +
                                                                ",-20.4187,24\n");
    };
    const auto heightOf = [&](const Ran& r) {
        const Json said = Json::parse(r.out); // a temporary would be gone within the loop
        for (const Json& m : said.at("mapping"))
            if (m.at("field") == "height_m") return m.at("by").get<std::string>();
        return std::string();
    };
    CHECK(heightOf(desk.run({"add", plan, "mounts", table(1), "--json"})).empty());
    CHECK(heightOf(desk.run({"add", plan, "mounts", table(2), "--json", "--map", "height_m=REACH:ft"})) ==
          "user");
    CHECK(heightOf(desk.run({"add", plan, "mounts", table(3), "--json"})) == "memory");
    CHECK(heightOf(desk.run({"add", plan, "mounts", table(4), "--json", "--forget"})).empty());
}

TEST_CASE("add refuses what it cannot follow, with what there is", "[cli]") {
    const Desk desk;
    const std::string plan = desk.path("town.plan.gpkg");
    REQUIRE(desk.run({"new", plan, "--at", "36.9312, -20.4187"}).code == 0);
    const std::string file = desk.write("m.csv", "name,lat,lon\nA,36.9312,-20.4187\n");
    const Ran kind = desk.run({"add", plan, "mount", file});
    CHECK(kind.code == 2);
    CHECK_THAT(kind.err, Contains("mounts"));
    const Ran column = desk.run({"add", plan, "mounts", file, "--map", "name=NAME2"});
    CHECK(column.code == 3);
    CHECK_THAT(column.err, Contains("lon"));
    CHECK(desk.run({"add", plan, "mounts", desk.path("none.csv")}).code == 3);
    CHECK(desk.run({"add", plan, "mounts", desk.folder.path().string()}).code == 3);
}

TEST_CASE("what template prints, add takes", "[cli]") {
    const Desk desk;
    const std::string plan = desk.path("town.plan.gpkg");
    REQUIRE(desk.run({"new", plan, "--at", "36.9312, -20.4187"}).code == 0);
    // In an order in which each finds what it names.
    for (const char* kind : {"antennas", "sites", "sectors", "cells", "mounts", "areas", "buildings",
                             "obstructions", "trees", "lines", "fibre", "power", "streets"}) {
        const Ran form = desk.run({"template", kind});
        REQUIRE(form.code == 0);
        const Ran taken =
            desk.run({"add", plan, kind, desk.write(std::string(kind) + ".csv", form.out), "--json"});
        INFO(kind << ": " << form.out << taken.out << taken.err);
        REQUIRE(taken.code == 0);
        const Json said = Json::parse(taken.out);
        const auto rows = std::count(form.out.begin(), form.out.end(), '\n') - 1;
        CHECK(said.at("good") == rows);
        CHECK((rows == 1) == (std::string(kind) != "antennas")); // of an antenna one angle says nothing
        CHECK(said.at("refused") == 0);
        if (std::string(kind) == "antennas")
            for (const Json& remark : said.at("remarks")) CHECK(remark.at("weight") != "look");
    }
    CHECK(desk.run({"check", plan}).code == 0);
    CHECK_THAT(desk.run({"template"}).out, Contains("counters"));
    CHECK(desk.run({"template", "terrain"}).code == 2);
}

TEST_CASE("terrain comes beside the plan in the plan's own grid, and the plan stands on it", "[cli]") {
    const Desk desk;
    const std::string plan = desk.path("town.plan.gpkg");
    REQUIRE(desk.run({"new", plan, "--at", "36.9312, -20.4187", "--side", "1"}).code == 0);
    // An ASCII grid of degrees round the place: heights rise by 1 m a row from north to south.
    std::string grid =
        "ncols 60\nnrows 60\nxllcorner -20.4787\nyllcorner 36.8712\ncellsize 0.002\nNODATA_value -9999\n";
    for (int row = 0; row < 60; ++row) {
        for (int column = 0; column < 60; ++column) grid += std::to_string(10 + row) + ' ';
        grid += '\n';
    }
    const std::string file = desk.write("ground.asc", grid);
    const Ran asked = desk.run({"add", plan, "terrain", file});
    INFO(asked.out << asked.err);
    CHECK(asked.code == 1);
    CHECK_THAT(asked.out, Contains("question") && Contains("--crs"));
    const Ran taken = desk.run({"add", plan, "terrain", file, "--crs", "4326", "--json"});
    INFO(taken.out << taken.err);
    REQUIRE(taken.code == 0);
    const Json j = Json::parse(taken.out);
    CHECK(j.at("taken") == true);
    CHECK(j.at("least_m") == 10);
    CHECK(j.at("most_m") == 69);
    CHECK(std::filesystem::exists(desk.path("town-terrain.tif")));
    CHECK(desk.run({"check", plan}).code == 0);
    const Ran again = desk.run({"add", plan, "terrain", file, "--crs", "4326"});
    CHECK(again.code == 0);
    CHECK(std::filesystem::exists(desk.path("town-terrain-2.tif")));
}

TEST_CASE("demand and land cover come beside the plan, and the computation goes by them", "[cli]") {
    const Desk desk;
    const std::string plan = desk.path("town.plan.gpkg");
    REQUIRE(desk.run({"new", plan, "--at", "36.9312, -20.4187", "--side", "1"}).code == 0);
    // Degrees round the place: most demand in the middle, none in the west; class 80 in the north, else 50.
    const std::string head = "ncols 60\nnrows 60\nxllcorner -20.4787\nyllcorner 36.9012\ncellsize 0.001\n"
                             "NODATA_value -9999\n";
    std::string demand = head, classes = head;
    for (int row = 0; row < 60; ++row) {
        for (int column = 0; column < 60; ++column) {
            demand += column < 10 ? "0 " : std::to_string(1 + column % 7) + ' ';
            classes += row < 30 ? "80 " : "50 ";
        }
        demand += '\n';
        classes += '\n';
    }
    const std::string amounts = desk.write("traffic.asc", demand), cover = desk.write("cover.asc", classes);

    CHECK(desk.run({"add", plan, "demand", amounts, "--crs", "4326", "--cell", "20"}).code == 1);
    const Ran taken = desk.run({"add", plan, "demand", amounts, "--crs", "4326", "--json"});
    INFO(taken.out << taken.err);
    REQUIRE(taken.code == 0);
    const Json j = Json::parse(taken.out);
    CHECK(j.at("taken") == true);
    CHECK(j.at("kind") == "demand");
    CHECK(j.at("cell_m") == 64); // the largest that is not above the file's 89 x 111 m by more than a tenth
    CHECK(std::filesystem::exists(desk.path("town-demand.tif")));

    const Ran asked = desk.run({"add", plan, "land-cover", cover, "--crs", "4326"});
    CHECK(asked.code == 1);
    CHECK_THAT(asked.out, Contains("Class 80") && Contains("--weight"));
    CHECK(desk.run({"add", plan, "land-cover", cover, "--crs", "4326", "--weight", "80=much"}).code != 0);
    const Ran covered = desk.run({"add", plan, "land-cover", cover, "--crs", "4326", "--weight", "80=0",
                                  "--weight", "50=1.5", "--json"});
    INFO(covered.out << covered.err);
    REQUIRE(covered.code == 0);
    CHECK(Json::parse(covered.out).at("weights") == "50=1.5; 80=0");
    CHECK(std::filesystem::exists(desk.path("town-land-cover.tif")));
    CHECK(desk.run({"check", plan}).code == 0);
    const Ran info = desk.run({"info", plan});
    CHECK_THAT(info.out, Contains("town-demand.tif") && Contains("town-land-cover.tif"));
    // Left again, one of them; its file stays.
    const std::string before = fw::testing::bytesOf(plan);
    CHECK_THAT(desk.run({"add", plan, "land-cover", "--leave", "--dry-run"}).out,
               Contains("town-land-cover.tif"));
    CHECK(fw::testing::bytesOf(plan) == before);
    const Ran left = desk.run({"add", plan, "land-cover", "--leave", "--json"});
    INFO(left.out << left.err);
    CHECK(left.code == 0);
    CHECK(Json::parse(left.out).at("left") == "town-land-cover.tif");
    CHECK(std::filesystem::exists(desk.path("town-land-cover.tif")));
    CHECK_THAT(desk.run({"info", plan}).out, Contains("town-demand.tif") && !Contains("town-land-cover.tif"));
    const Ran none = desk.run({"add", plan, "land-cover", "--leave"});
    CHECK(none.code == 0);
    CHECK_THAT(none.out, Contains("uses no land cover raster"));
    CHECK(desk.run({"add", plan, "land-cover", cover, "--leave"}).code == 2);
    CHECK(desk.run({"add", plan, "land-cover"}).code == 2);
    CHECK(desk.run({"add", plan, "cells", "--leave"}).code == 2);
    // The plan names bytes, not only a name.
    desk.write("town-demand.tif", "something else");
    CHECK(desk.run({"ledger", plan}).code == 3);
}
