// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/plan_terrain.h"

#include "catch.h"
#include "store/folder.h"
#include "support/random_plan.h"
#include "surface/raster_io.h"

using namespace fw;
using namespace fw::testing;

namespace {

Plan planWith(const std::string& file, const std::string& digest) {
    Random random(15);
    Plan plan = randomPlan(random);
    PlanSettings s = *plan.settings;
    s.terrain.file = file;
    s.terrain.digest = digest;
    REQUIRE(apply(plan, {"Terrain", {PutSettings{s}}}));
    return plan;
}

Grid<float> slope() {
    Grid<float> g(553000, 4084000, 10, 20, 20);
    for (int row = 0; row < 20; ++row)
        for (int col = 0; col < 20; ++col) g.at(col, row) = static_cast<float>(col);
    return g;
}

void checkRefused(const Plan& plan, const std::filesystem::path& planFile, const char* part) {
    const auto terrain = loadTerrain(plan, planFile);
    REQUIRE_FALSE(terrain.ok());
    INFO(terrain.error().sentence());
    CHECK(terrain.error().sentence().find(part) != std::string::npos);
}

} // namespace

TEST_CASE("a plan without a terrain file stands on flat ground") {
    const auto terrain = loadTerrain(planWith("", ""), "/nowhere/plan.gpkg");
    REQUIRE(terrain);
    CHECK((*terrain)->at({553100, 4084100}) == 12); // as the random plan sets it
}

TEST_CASE("terrain comes from beside or below the plan, checked by its bytes") {
    const TestFolder folder;
    std::filesystem::create_directory(folder / "data");
    const auto raster = folder / "data/ground.tif";
    REQUIRE(writeTerrain(raster, slope(), 32627).ok());
    const auto digest = digestOfFile(raster);
    REQUIRE(digest);
    const auto planFile = folder / "plan.gpkg";
    const auto terrain = loadTerrain(planWith("data/ground.tif", *digest), planFile);
    INFO((terrain ? std::string() : terrain.error().sentence()));
    REQUIRE(terrain);
    // Ten metres east is one metre up: the middle of column 7 has height 7.
    CHECK((*terrain)->at({553075, 4084105}) == Approx(7).margin(1e-6));
    checkRefused(planWith("data/ground.tif", "0123"), planFile, "not the one the plan was made with");
    checkRefused(planWith("data/ground.tif", ""), planFile, "not the one the plan was made with");
    checkRefused(planWith("data/none.tif", *digest), planFile, "not there");
    checkRefused(planWith("data", *digest), planFile, "not there");
}

TEST_CASE("a terrain path that leaves the plan's folder is refused") {
    const TestFolder folder;
    std::filesystem::create_directory(folder / "plans");
    const auto raster = folder / "ground.tif";
    REQUIRE(writeTerrain(raster, slope(), 32627).ok());
    const std::string digest = *digestOfFile(raster);
    const auto planFile = folder / "plans/plan.gpkg";
    const char* part = "beside the plan";
    checkRefused(planWith("../ground.tif", digest), planFile, part);
    checkRefused(planWith("sub/../../ground.tif", digest), planFile, part);
    checkRefused(planWith(raster.string(), digest), planFile, part);
    checkRefused(planWith(".", digest), planFile, part);
    std::filesystem::create_symlink(raster, folder / "plans/link.tif");
    checkRefused(planWith("link.tif", digest), planFile, part);
    std::filesystem::create_directory(folder / "plans-old"); // its name begins as the plan's folder's does
    std::filesystem::copy_file(raster, folder / "plans-old/ground.tif");
    checkRefused(planWith("../plans-old/ground.tif", digest), planFile, part);
}

TEST_CASE("demand and land cover come with the terrain, densities about one and classes as they are") {
    const TestFolder folder;
    Grid<float> amounts(552960, 4083712, 32, 16, 16, 0.0F);
    amounts.at(3, 4) = 30;
    amounts.at(5, 6) = 10;
    REQUIRE(writeTerrain(folder / "traffic.tif", amounts, 32627).ok());
    Grid<float> classes(553000, 4084000, 10, 20, 20, 50.0F);
    classes.at(2, 1) = 80;
    REQUIRE(writeTerrain(folder / "cover.tif", classes, 32627).ok());
    const auto planFile = folder / "town.plan.gpkg";
    Plan plan = planWith("", "");
    for (const auto& [use, name] :
         {std::pair{RasterUse::demand, "traffic.tif"}, std::pair{RasterUse::landCover, "cover.tif"}}) {
        const auto edit = useRaster(plan, planFile, use, folder / name, "80=0");
        REQUIRE(edit);
        REQUIRE(apply(plan, *edit));
    }
    const auto terrain = loadTerrain(plan, planFile);
    INFO((terrain ? std::string() : terrain.error().sentence()));
    REQUIRE(terrain);
    const DemandGrid& demand = *(*terrain)->demand;
    CHECK(demand.at(3, 4) == 1.5F); // 30 against a mean of 20 where there is any
    CHECK(demand.at(5, 6) == 0.5F);
    CHECK(demand.at(0, 0) == 0);
    CHECK((*terrain)->landCover->at(2, 1) == 80);
    CHECK((*terrain)->landCover->at(0, 0) == 50);
    CHECK(plan.settings->landCoverWeights == "80=0");

    REQUIRE(apply(plan, leaveRaster(plan, RasterUse::demand)));
    REQUIRE(apply(plan, leaveRaster(plan, RasterUse::landCover)));
    CHECK(*plan.settings == *planWith("", "").settings);
    CHECK(leaveRaster(plan, RasterUse::demand).changes.empty());
}

TEST_CASE("a demand raster that does not fit the grid of the computation is refused") {
    const TestFolder folder;
    const auto planFile = folder / "town.plan.gpkg";
    const auto refused = [&](const Grid<float>& g, const char* part) {
        REQUIRE(writeTerrain(folder / "g.tif", g, 32627).ok());
        Plan plan = planWith("", "");
        REQUIRE(apply(plan, *useRaster(plan, planFile, RasterUse::demand, folder / "g.tif")));
        checkRefused(plan, planFile, part);
    };
    refused(Grid<float>(552960, 4083712, 30, 16, 16, 1.0F), "divides 512 m");
    refused(Grid<float>(552970, 4083712, 32, 16, 16, 1.0F), "multiples");
    refused(Grid<float>(552960, 4083712, 2, 16, 16, 1.0F), "4 m or more");
    refused(Grid<float>(552960, 4083712, 32, 16, 16, 0.0F), "any demand");
}
