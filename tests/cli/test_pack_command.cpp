// SPDX-License-Identifier: GPL-3.0-or-later
// `pack` as a script runs it: which files, what is replaced and what is not. The files' content is checked in
// tests/delivery and tests/gui.
#include "catch.h"
#include "cli/program.h"

#include <nlohmann/json.hpp>

using namespace fwtest;
using Catch::Matchers::Contains;
namespace fs = std::filesystem;
using fw::testing::bytesOf;

namespace {

const Environment kNoDisplay{{"DISPLAY", ""}, {"WAYLAND_DISPLAY", ""}, {"QT_QPA_PLATFORM", ""}};
const char* const kFiles[] = {"site-plan.pdf", "works.gpkg", "works.geojson", "works.kml", "works.csv"};

std::size_t radiosIn(const fs::path& geojson) {
    return nlohmann::json::parse(bytesOf(geojson)).at("features").size();
}

// Mounts with a chosen small cell, by name.
std::vector<std::string> chosenNames(const fw::Plan& plan) {
    std::vector<std::string> out;
    for (const fw::Mount& m : plan.mounts)
        for (const fw::SmallCell& c : plan.smallCells)
            if (c.chosen && plan.radios.find(c.radio)->mount == m.id) {
                out.push_back(m.name);
                break;
            }
    return out;
}

} // namespace

TEST_CASE("pack writes its five files without a display, and a second time over them", "[cli]") {
    const fw::testing::TestFolder folder;
    const fs::path out = folder / "new" / "pack";
    const Ran r = run({"pack", townFile(), "-o", out.string()}, kNoDisplay);
    INFO(r.err);
    REQUIRE(r.code == 0);
    CHECK(r.err.empty());
    for (const char* name : kFiles) {
        CHECK_THAT(r.out, Contains(name));
        CHECK(fs::file_size(out / name) > 0);
    }
    CHECK(bytesOf(out / "site-plan.pdf").starts_with("%PDF-"));
    CHECK(bytesOf(out / "works.gpkg").starts_with("SQLite format 3"));
    fw::testing::writeBytes(out / "notes.txt", "mine");
    const std::string csv = bytesOf(out / "works.csv"), geo = bytesOf(out / "works.geojson");
    fw::testing::writeBytes(out / "works.csv", "older");
    REQUIRE(run({"pack", townFile(), "-o", out.string()}, kNoDisplay).code == 0);
    CHECK(bytesOf(out / "works.csv") == csv);
    CHECK(bytesOf(out / "works.geojson") == geo);
    CHECK(bytesOf(out / "notes.txt") == "mine");
    CHECK(std::distance(fs::directory_iterator(out), fs::directory_iterator()) == 6); // and nothing left over
}

TEST_CASE("pack --sites leaves the sheets that were asked for", "[cli]") {
    const fw::testing::TestFolder folder;
    const fw::Plan plan = smallTown();
    const auto names = chosenNames(plan);
    REQUIRE(names.size() >= 2);
    const Ran r = run(
        {"pack", townFile(), "-o", folder.path().string(), "--sites", names[1], "--paper", "A3"}, kNoDisplay);
    INFO(r.err);
    REQUIRE(r.code == 0);
    CHECK_THAT(r.out, Contains(": sites 1, "));
    const std::string csv = bytesOf(folder / "works.csv");
    CHECK_THAT(csv, Contains(names[1]) && !Contains(names[0]));
    CHECK(radiosIn(folder / "works.geojson") >= 1);
    const Ran wrong = run({"pack", townFile(), "-o", folder.path().string(), "--sites", "W-99"}, kNoDisplay);
    CHECK(wrong.code == 2);
    CHECK_THAT(wrong.err, Contains("W-99"));
}

TEST_CASE("pack never writes over the plan, nor through a file", "[cli]") {
    const fw::testing::TestFolder folder;
    const fs::path plan = folder / "works.gpkg";
    fs::copy_file(townFile(), plan);
    const std::string before = bytesOf(plan);
    const Ran r = run({"pack", plan.string(), "-o", folder.path().string()}, kNoDisplay);
    CHECK(r.code == 3);
    CHECK_THAT(r.err, Contains("plan itself"));
    CHECK(bytesOf(plan) == before);
    CHECK_FALSE(fs::exists(folder / "site-plan.pdf"));
    const Ran file = run({"pack", townFile(), "-o", plan.string()}, kNoDisplay);
    CHECK(file.code == 3);
    CHECK(bytesOf(plan) == before);
}
