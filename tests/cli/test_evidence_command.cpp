// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "cli/program.h"
#include "support/places.h"

#include <filesystem>

using namespace fwtest;
using Catch::Matchers::Contains;

TEST_CASE("evidence writes a page for the sample, and says why there is none without full cells", "[cli]") {
    const std::string sample = fw::testing::sourceFile("sample-projects/port-merrow/port-merrow.plan.gpkg");
    const auto folder = fw::testing::builtFile("test_files/evidence_command");
    std::filesystem::create_directories(folder);
    const std::string file = (folder / "evidence.pdf").string();
    std::filesystem::remove(file);
    const Ran ran = run({"evidence", sample, "-o", file, "--draws", "20"});
    INFO(ran.err);
    REQUIRE(ran.code == 0);
    CHECK_THAT(ran.out, Contains("full cells 5, at target 5"));
    CHECK(std::filesystem::file_size(file) > 10000);
    CHECK(run({"evidence", sample}).code == 2);
    CHECK(run({"evidence", sample, "-o", "/nowhere/at/all.pdf", "--draws", "1"}).code == 3);
}

TEST_CASE("a folder where a file is to be written is refused before any work", "[cli]") {
    const auto folder = fw::testing::builtFile("test_files/folder_for_file");
    std::filesystem::create_directories(folder / "sheet.csv");
    const std::string here = folder.string();
    // Neither plan nor table is there: what is said is about the folder all the same.
    for (const Words& words :
         {Words{"evidence", "none.gpkg", "-o", here}, Words{"evidence", "none.gpkg", "-o", "."},
          Words{"add", "none.gpkg", "mounts", "none.csv", "--refused", here},
          Words{"calibrate", "none.gpkg", "none.csv", "--residuals", here},
          Words{"identify", "none.gpkg", "--sheet", here + "/sheet.csv"}}) {
        const Ran r = run(words);
        INFO(words.front() << ": " << r.err);
        CHECK(r.code == 3);
        CHECK_THAT(r.err, Contains("This is a folder; name the file to write, such as "));
    }
    const Ran r = run({"evidence", "none.gpkg", "-o", here + "/deeper/page.pdf"});
    CHECK(r.code == 3);
    CHECK_THAT(r.err, Contains("There is no folder " + here + "/deeper to write it to."));
}
