// SPDX-License-Identifier: GPL-3.0-or-later
// calibrate: from a table of measured levels to offsets in the plan.
#include "base/random.h"
#include "catch.h"
#include "cli/json_answer.h"
#include "study/study.h"

#include <cmath>
#include <fmt/format.h>
#include <fstream>
#include <nlohmann/json.hpp>

using namespace fwtest;
using namespace fw;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

namespace {

// A table that measures every place 4 dB stronger than the plan predicts, give or take 3.
void writeDrive(const std::filesystem::path& file, const Plan& plan, int places) {
    auto terrain = std::make_shared<Terrain>();
    terrain->flatM = plan.settings->terrain.flatM;
    const auto study = Study::advance(nullptr, plan, terrain).value();
    Random random(3);
    std::ofstream out(file);
    out << "Longitude;Latitude;RSRP;PCI;EARFCN\n";
    const Box area = plan.settings->workArea;
    for (int n = 0; n < places;) {
        const PlanePoint at{random.between(area.x0, area.x1), random.between(area.y0, area.y1)};
        const auto served = study->macroAt(0, at);
        const auto geo = study->frame().toGeo(at);
        if (!served || !geo) continue;
        ++n;
        const Cell& c = *plan.cells.find(served->cell);
        out << fmt::format("{:.7f};{:.7f};{:.1f};{};{}\n", geo->lonDeg, geo->latDeg,
                           served->levelDbm + 4 + 3 * random.normal(), c.pci, c.carrier.channel);
    }
}

double valueOf(const Json& working, const std::string& what) {
    for (const Json& s : working.at("steps"))
        if (s.at("what") == what) return s.at("value").get<double>();
    FAIL("no step " << what);
    return 0;
}

} // namespace

TEST_CASE("calibrate --working opens every figure, the last step being the figure itself", "[cli]") {
    const fw::testing::TestFolder folder;
    const std::string plan = folder / "town.plan.gpkg", drive = folder / "drive.csv";
    Random random(34);
    fw::testing::RandomPlanSpec spec;
    spec.mounts = 1;
    const Plan town = fw::testing::randomPlan(random, spec);
    REQUIRE(savePlan(town, plan).ok());
    writeDrive(drive, town, 4000);
    const Json j = Json::parse(run({"calibrate", plan, drive, "--slope", "--working", "--json"}).out);
    int fitted = 0, known = 0;
    for (const Json& c : j.at("cells")) {
        INFO(c.dump());
        REQUIRE(c.contains("working"));
        if (!c.at("fitted")) continue;
        ++fitted;
        CHECK(lastOf(c.at("working")) == Approx(c.at("offset_after_db").get<double>()).margin(1e-3));
        CHECK(lastOf(c.at("slope_working")) ==
              Approx(c.at("slope_db_per_decade").get<double>()).margin(1e-3));
        CHECK(lastOf(c.at("held_out_working")) ==
              Approx(c.at("held_out").at("after").at("rmse_db").get<double>()).margin(1e-3));
    }
    CHECK(fitted > 3);
    for (const char* which : {"fitted_on", "held_out"}) {
        const Json& w = j.at(which + std::string("_working"));
        CHECK(lastOf(w) == Approx(j.at(which).at("after").at("rmse_db").get<double>()).margin(1e-3));
        // By definition: the mean square is the squared mean and the variance about it.
        CHECK(std::hypot(valueOf(w, "mean before"), valueOf(w, "sigma before")) ==
              Approx(valueOf(w, "RMSE before")).margin(1e-4));
    }
    for (const Json& a : j.at("azimuths")) {
        if (a.at("measured_true_deg").is_null()) continue;
        ++known;
        CHECK(lastOf(a.at("working")) == Approx(a.at("measured_true_deg").get<double>()).margin(0.005));
    }
    CHECK(known > 0);
    const std::string words = run({"calibrate", plan, drive, "--working"}).out;
    CHECK_THAT(words, Contains("=> new offset, to 0.1 dB: old + a") && Contains("=> RMSE after: ") &&
                          Contains("=> measured, true: "));
    CHECK_FALSE(Json::parse(run({"calibrate", plan, drive, "--json"}).out).contains("held_out_working"));
}

TEST_CASE("calibrate tells what it would change, changes it when asked, and then finds nothing left",
          "[cli]") {
    const fw::testing::TestFolder folder;
    const std::string plan = folder / "town.plan.gpkg", drive = folder / "drive.csv",
                      residuals = folder / "residuals.csv";
    Random random(31);
    fw::testing::RandomPlanSpec spec;
    spec.mounts = 1;
    const Plan town = fw::testing::randomPlan(random, spec);
    REQUIRE(savePlan(town, plan).ok());
    writeDrive(drive, town, 4000);

    const std::string before = fw::testing::bytesOf(plan);
    const Ran words = run({"calibrate", plan, drive, "--slope"});
    INFO(words.err << words.out);
    CHECK(words.code == 0);
    CHECK_THAT(words.out, Contains("4000 points: ") && Contains("Held out: ") &&
                              Contains("Nothing was changed; --apply") && Contains("dB a decade"));
    CHECK(fw::testing::bytesOf(plan) == before);

    const Ran applied = run({"calibrate", plan, drive, "--apply", "--json", "--residuals", residuals});
    CHECK(applied.code == 0);
    const Json j = Json::parse(applied.out);
    CHECK(j.at("schema") == "fringewright.calibrate");
    CHECK(j.at("applied") == true);
    CHECK(j.at("given") == 4000);
    const auto opened = openPlan(plan);
    REQUIRE(opened.ok());
    CHECK_THAT(opened->plan.settings->calibrationNote, Contains("\"drive.csv\""));
    int fitted = 0;
    for (const Json& c : j.at("cells")) {
        const Cell& cell = *opened->plan.cells.find({c.at("cell").at("id").get<std::uint32_t>()});
        CHECK(cell.offsetDb == Approx(c.at("offset_after_db").get<double>()).margin(1e-9));
        if (!c.at("fitted")) continue;
        ++fitted;
        // 4 dB were put on; four standard errors, and the rounding.
        CHECK(cell.offsetDb == Approx(4).margin(0.05 + 4 * c.at("standard_error_db").get<double>()));
    }
    CHECK(fitted > 3);
    const std::string table = fw::testing::bytesOf(residuals);
    CHECK(static_cast<std::size_t>(std::count(table.begin(), table.end(), '\n')) ==
          j.at("matched").get<std::size_t>() + 1);
    CHECK(run({"calibrate", plan, drive, "--residuals", residuals}).code == 3); // it is there already

    const Json again = Json::parse(run({"calibrate", plan, drive, "--json"}).out);
    for (const Json& c : again.at("cells"))
        if (c.at("fitted"))
            CHECK(c.at("offset_after_db").get<double>() ==
                  Approx(c.at("offset_before_db").get<double>()).margin(0.101));
}

TEST_CASE("calibrate names sectors that were measured in each other's place", "[cli]") {
    const fw::testing::TestFolder folder;
    const std::string plan = folder / "town.plan.gpkg", drive = folder / "drive.csv";
    Random random(33);
    fw::testing::RandomPlanSpec spec;
    spec.mounts = 1;
    Plan town = fw::testing::randomPlan(random, spec);
    writeDrive(drive, town, 5000);
    // The inventory has two cells of one carrier under each other's sector.
    std::vector<Cell> cells;
    for (const Cell& c : town.cells)
        if (c.carrier.channel == 1300 && cells.size() < 2) cells.push_back(c);
    std::swap(cells[0].sector, cells[1].sector);
    REQUIRE(apply(town, Edit{"", {Put{cells[0]}, Put{cells[1]}}}).ok());
    REQUIRE(savePlan(town, plan).ok());
    const Json j = Json::parse(run({"calibrate", plan, drive, "--json"}).out);
    const Json& swapped = j.at("swapped_sectors");
    REQUIRE(swapped.size() == 1);
    CHECK(swapped[0].at("subjects")[0].at("id") == cells[0].id.v);
    CHECK(swapped[0].at("subjects")[1].at("id") == cells[1].id.v);
    CHECK_THAT(run({"calibrate", plan, drive}).out, Contains("feeders or rows are swapped"));
}

TEST_CASE("calibrate with too little, or what is no drive test, changes nothing and says why", "[cli]") {
    const fw::testing::TestFolder folder;
    const std::string plan = folder / "town.plan.gpkg", drive = folder / "drive.csv",
                      other = folder / "x.csv";
    Random random(32);
    fw::testing::RandomPlanSpec spec;
    spec.mounts = 1;
    const Plan town = fw::testing::randomPlan(random, spec);
    REQUIRE(savePlan(town, plan).ok());
    writeDrive(drive, town, 30);
    const std::string before = fw::testing::bytesOf(plan);
    const Ran few = run({"calibrate", plan, drive, "--apply"});
    CHECK(few.code == 1);
    CHECK_THAT(few.out, Contains("are too few") && Contains("Nothing is changed."));
    fw::testing::writeBytes(other, "name;colour\na;red\n");
    const Ran none = run({"calibrate", plan, other});
    CHECK(none.code != 0);
    CHECK(run({"calibrate", plan, folder / "none.csv"}).code == 3);
    CHECK(fw::testing::bytesOf(plan) == before);
}
