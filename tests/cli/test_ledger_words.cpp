// SPDX-License-Identifier: GPL-3.0-or-later
// The words of `ledger`: rows that add up, stays at the plan's own speed, and a plan without a load.
#include "catch.h"
#include "cli/program.h"
#include "commands/shown_tenths.h"

#include <nlohmann/json.hpp>
#include <sstream>

using namespace fwtest;
using namespace fw::cli;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

namespace {

std::string saved(const fw::Plan& plan, const fw::testing::TestFolder& folder, const char* name) {
    saveOrThrow(plan, folder / name);
    return (folder / name).string();
}

fw::Plan with(fw::Plan plan, double speedKmh) {
    fw::PlanSettings s = *plan.settings;
    s.model.streetSpeedKmh = speedKmh;
    plan.settings = std::make_shared<const fw::PlanSettings>(s);
    return plan;
}

// Figures of the rows of a ledger: those of cells and sectors, each with the small cells below it.
struct LedgerRow {
    std::int64_t before = 0, relief = 0, harm = 0, after = 0, parts = 0;
    bool ofCell = false;
};

// "-9.8": every figure of a row has one decimal.
std::int64_t tenths(std::string word) {
    REQUIRE(word.size() > 2);
    REQUIRE(word[word.size() - 2] == '.');
    word.erase(word.size() - 2, 1);
    return std::stoll(word);
}

std::vector<LedgerRow> rowsOf(const std::string& said) {
    std::vector<LedgerRow> out;
    std::istringstream lines(said);
    for (std::string line; std::getline(lines, line);) {
        if (line.rfind("What users get", 0) == 0 || line.rfind("Own use", 0) == 0) break;
        if (line.find("from the fringe") != std::string::npos) {
            std::istringstream words(line.substr(34));
            std::string word;
            words >> word;
            out.back().parts += tenths(word);
            continue;
        }
        if (line.size() < 58 || line[26] != ' ' || line.find("before") != std::string::npos) continue;
        std::istringstream words(line.substr(26));
        std::string a, b, c, d;
        words >> a >> b >> c >> d;
        if (d.find('.') == std::string::npos) continue;
        out.push_back({tenths(a), tenths(b), tenths(c), tenths(d), 0, line.rfind("  ", 0) == 0});
    }
    return out;
}

} // namespace

TEST_CASE("tenths that add up move those nearest to the other side, and no more than needed", "[cli]") {
    using T = std::vector<std::int64_t>;
    CHECK(tenthsThatAddUp({0.0104, 0.0204}, 31) == T{10, 21}); // equal remainders but for the last bit
    CHECK(tenthsThatAddUp({0.0104, 0.02049}, 31) == T{10, 21});
    CHECK(tenthsThatAddUp({0.01049, 0.0204}, 31) == T{11, 20});
    CHECK(tenthsThatAddUp({0.0106, 0.0207}, 31) == T{10, 21});
    CHECK(tenthsThatAddUp({0.0106, 0.0207}, 32) == T{11, 21});
    CHECK(tenthsThatAddUp({0, 0.0204}, 21) == T{0, 21}); // nothing is made of nothing
    CHECK(tenthsThatAddUp({}, 0).empty());
    CHECK(tenthsText(-5) == "-0.5");
    CHECK(tenthsText(123) == "12.3");
    CHECK(tenthsText(0) == "0.0");
    // 55.54 - 9.84 + 1.24 = 46.94: the nearest would read 55.5 - 9.8 + 1.2 = 46.9, as it should;
    const ShownRow fits = shownRow(0.5554, 0.0984, 0.0124, 0.4694);
    CHECK((fits.before == 555 && fits.relief == 98 && fits.harm == 12 && fits.after == 469));
    // 55.46 - 9.84 + 1.16 = 46.78: the nearest would read 55.5 - 9.8 + 1.2 = 46.8.
    const ShownRow row = shownRow(0.5546, 0.0984, 0.0116, 0.4678);
    CHECK((row.before == 555 && row.after == 468));
    CHECK(row.before - row.relief + row.harm == row.after);
    // A use that was clipped adds up in nothing: each figure stays the nearest.
    const ShownRow clipped = shownRow(0.9, 0.1, 0.3, 1.0);
    CHECK((clipped.relief == 100 && clipped.harm == 300 && clipped.after == 1000));
}

TEST_CASE("rows of a ledger add up as they are read, and so do their small cells", "[cli]") {
    const fw::testing::TestFolder folder;
    int rows = 0, parted = 0;
    for (const std::uint64_t seed : {5, 6, 7}) {
        const std::string file = saved(smallTown(seed), folder, "town.plan.gpkg");
        for (const char* which : {"--live", "--settled"}) {
            const Ran ran = run({"ledger", which, "--all", file});
            INFO(ran.out);
            REQUIRE(ran.code == 0);
            for (const LedgerRow& r : rowsOf(ran.out)) {
                CAPTURE(r.before, r.relief, r.harm, r.after, r.parts);
                ++rows;
                CHECK(r.before + r.relief + r.harm == r.after);
                if (r.ofCell) CHECK(r.parts == r.relief);
                parted += r.ofCell && r.parts != 0;
            }
        }
    }
    CHECK(rows > 20);
    CHECK(parted > 0);
}

TEST_CASE("stays on streets are told at the speed of the plan's settings, with their steps", "[cli]") {
    const fw::testing::TestFolder folder;
    const std::string file = saved(with(smallTown(), 100), folder, "fast.plan.gpkg");
    const Ran fast = run({"ledger", "--live", "--json", "--working", file});
    REQUIRE(fast.code == 0);
    const Json usual = Json::parse(run({"ledger", "--live", "--json", townFile()}).out);
    const Json smalls = Json::parse(fast.out).at("live").at("small_cells");
    int passed = 0;
    for (std::size_t k = 0; k < smalls.size(); ++k) {
        const Json& now = smalls[k].at("dwell_s");
        const Json& then = usual.at("live").at("small_cells")[k].at("dwell_s");
        REQUIRE(now.is_null() == then.is_null());
        if (now.is_null()) continue;
        ++passed;
        // Twice as fast, half as long.
        CHECK(now.at("longest").get<double>() == Approx(then.at("longest").get<double>() / 2).margin(0.001));
        CHECK(smalls[k].at("streets").at("speed_kmh") == 100);
        const Json& steps = smalls[k].at("dwell_working").at("steps");
        CHECK(steps.size() == smalls[k].at("streets").at("stretches").get<std::size_t>() + 2);
        CHECK(steps.back().at("value").get<double>() == Approx(now.at("median").get<double>()).margin(0.001));
    }
    CHECK(passed > 0);
    const Ran words = run({"ledger", "--live", "--working", file});
    CHECK_THAT(words.out,
               Contains("on streets at 100 km/h: median stay ") && Contains("How long users on streets"));
}

TEST_CASE("a plan without a measured load says so and what to do, and is no fault", "[cli]") {
    const fw::testing::TestFolder folder;
    fw::Plan plan = smallTown();
    const std::vector<fw::Cell> cells(plan.cells.begin(), plan.cells.end());
    REQUIRE(!cells.empty());
    for (fw::Cell c : cells) {
        c.load = {};
        plan.cells.put(c);
    }
    const std::string file = saved(plan, folder, "bare.plan.gpkg");
    const Ran bare = run({"ledger", file});
    INFO(bare.out << bare.err);
    CHECK(bare.code == 0);
    CHECK_THAT(bare.out, Contains("No macro cell of the plan has a measured load") &&
                             Contains("add PLAN counters") && !Contains("Settled after") &&
                             !Contains("relief"));
    const Json j = Json::parse(run({"ledger", "--json", file}).out);
    CHECK(j.at("measured_cells") == 0);
    CHECK(j.at("settled").at("cells").empty());
    const Json full = Json::parse(run({"ledger", "--live", "--json", townFile()}).out);
    CHECK(full.at("measured_cells") == full.at("live").at("cells").size());
    CHECK_THAT(run({"ledger", townFile()}).out, !Contains("No macro cell"));
}
