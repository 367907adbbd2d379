// SPDX-License-Identifier: GPL-3.0-or-later
// info, review, fit and ledger on a small plan: shapes, exit codes, and that figures hang together.
#include "catch.h"
#include "cli/json_answer.h"
#include "geo/frame.h"
#include "plan/edit.h"

#include <nlohmann/json.hpp>

#include <set>

using namespace fwtest;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

namespace {

const Json& reviewed() {
    static const Json json = [] {
        const Ran r = run({"review", "--json", townFile()});
        return Json::parse(r.out);
    }();
    return json;
}

// A town whose macros stand where the test wants them.
fw::Plan withMacroAt(fw::Plan plan, fw::PlanePoint at) {
    fw::MacroSite site = *plan.macroSites.begin();
    site.at = at;
    plan.macroSites.put(site);
    return plan;
}

} // namespace

TEST_CASE("info counts what the plan has", "[cli]") {
    const fw::Plan plan = smallTown();
    const Json j = jsonOf({"info", townFile()});
    CHECK(j.at("schema") == "fringewright.info");
    CHECK(j.at("version") == 1);
    CHECK(j.at("plan").at("name") == "Random town");
    CHECK(j.at("plan").at("operator") == "Merrow Mobile");
    CHECK(j.at("plan").at("date") == "2026-06-01");
    CHECK(j.at("crs").at("epsg") == 32627);
    CHECK(j.at("counts").at("building") == plan.scenery.buildingCount());
    CHECK(j.at("counts").at("macro site") == plan.macroSites.size());
    CHECK(j.at("counts").at("small cell") == plan.smallCells.size());
    std::size_t chosen = 0, inCarriers = 0;
    for (const fw::SmallCell& c : plan.smallCells) chosen += c.chosen ? 1 : 0;
    CHECK(j.at("variants")[0].at("chosen") == chosen);
    CHECK(j.at("variants")[0].at("candidates") == plan.smallCells.size() - chosen);
    for (const Json& c : j.at("carriers")) inCarriers += c.at("macro_cells").get<std::size_t>();
    CHECK(inCarriers == plan.cells.size());
    // EARFCN 1300 is in band 3 at 1815.0 MHz: 1805 + 0.1 (1300 - 1200), 3GPP TS 36.104, 5.7.3 and
    // Table 5.7.3-1.
    CHECK(j.at("carriers")[0].at("channel") == 1300);
    CHECK(j.at("carriers")[0].at("band") == "B3");
    CHECK(j.at("carriers")[0].at("downlink_mhz") == 1815.0);
    CHECK_THAT(run({"info", townFile()}).out, Contains("Merrow Mobile") && Contains("EPSG:32627"));
}

TEST_CASE("info says when macros beyond the work area are missing", "[cli]") {
    const fw::testing::TestFolder folder;
    const fw::Plan plan = smallTown();
    const fw::Box area = plan.settings->workArea;
    const auto rim = [&](fw::PlanePoint at) {
        const auto file = folder / "rim.plan.gpkg";
        std::filesystem::remove(file);
        saveOrThrow(withMacroAt(plan, at), file);
        return jsonOf({"info", file.string()});
    };
    CHECK_FALSE(rim(area.centre()).at("rim_warning").is_null());
    CHECK(rim({area.x1 + 2900, area.y0}).at("rim_warning").is_null());
    CHECK_FALSE(rim({area.x1 + 3100, area.y0}).at("rim_warning").is_null());
    // 2,200 m east and 2,200 m north of the corner are 3,111 m away.
    CHECK_FALSE(rim({area.x1 + 2200, area.y1 + 2200}).at("rim_warning").is_null());
}

TEST_CASE("cells over the trigger by the rule of common practice", "[cli]") {
    // Common practice: over 70 % in five of seven busy hours, and users under 3 Mbit/s.
    fw::Plan plan = smallTown();
    fw::Cell cell = *plan.cells.begin();
    const auto counts = [&](std::vector<double> days, double mbps) {
        const fw::testing::TestFolder folder;
        for (const fw::Cell& c : smallTown().cells) {
            fw::Cell quiet = c;
            quiet.load.dailyDlPrbUse = {0.2};
            quiet.load.dlPrbUse = 0.2;
            plan.cells.put(quiet);
        }
        cell.load.dailyDlPrbUse = std::move(days);
        cell.load.dlPrbUse = 0.75;
        cell.load.userThroughputMbps = mbps;
        plan.cells.put(cell);
        saveOrThrow(plan, folder / "load.plan.gpkg");
        return jsonOf({"info", (folder / "load.plan.gpkg").string()}).at("over_trigger").size();
    };
    CHECK(counts({.8, .8, .8, .8, .8, .5, .5}, 2.9) == 1);
    CHECK(counts({.8, .8, .8, .8, .69, .5, .5}, 2.9) == 0);
    CHECK(counts({.8, .8, .8, .8, .8, .8, .8}, 3.1) == 0);
}

TEST_CASE("review: every finding has its parts, and the exit code follows the counts", "[cli]") {
    const Json& j = reviewed();
    CHECK(j.at("schema") == "fringewright.review");
    CHECK(j.at("version") == 1);
    REQUIRE(j.at("findings").size() > 3);
    const fw::Plan plan = smallTown();
    std::map<std::string, int> open{{"block", 0}, {"warn", 0}, {"note", 0}};
    const auto frame = fw::Frame::fromEpsg(32627);
    for (const Json& f : j.at("findings")) {
        INFO(f.dump());
        CHECK_FALSE(f.at("rule").get<std::string>().empty());
        CHECK_FALSE(f.at("text").get<std::string>().empty());
        CHECK_FALSE(f.at("source").get<std::string>().empty());
        CHECK(f.at("measured").at("value").is_number());
        CHECK(f.at("limit").at("value").is_number());
        CHECK(f.at("measured").at("unit").is_string());
        REQUIRE_FALSE(f.at("subjects").empty());
        for (const Json& s : f.at("subjects")) {
            const fw::ItemId id{s.at("id").get<std::uint32_t>()};
            REQUIRE(plan.kindOf(id));
            CHECK(s.at("kind") == fw::nameOf(*plan.kindOf(id)));
            CHECK(s.at("name") == plan.label(id));
        }
        // All mounts stand in the work area, and findings are where they stand.
        const auto at = frame->toPlane({f.at("where").at("lat"), f.at("where").at("lon")});
        REQUIRE(at.ok());
        CHECK(plan.settings->workArea.grown(1).contains(*at));
        CHECK(f.contains("remedy"));
        CHECK(f.at("state") == "open");
        ++open.at(f.at("severity"));
    }
    for (const auto& [word, n] : open) CHECK(j.at("counts").at("open").at(word) == n);
    CHECK(open["block"] > 0);
    CHECK(run({"review", townFile()}).code == 1);
    CHECK(std::any_of(j.at("findings").begin(), j.at("findings").end(),
                      [](const Json& f) { return !f.at("remedy").is_null(); }));
}

TEST_CASE("review in words groups by severity and gives the counts", "[cli]") {
    const Ran r = run({"review", "--no-remedies", townFile()});
    CHECK(r.code == 1);
    CHECK(r.err.empty());
    CHECK(r.out.find('\x1b') == std::string::npos); // no colours where there is no terminal
    const auto block = r.out.find("block ("), warn = r.out.find("\nwarn (");
    REQUIRE(block != std::string::npos);
    if (warn != std::string::npos) CHECK(block < warn);
    CHECK(r.out.find("->") == std::string::npos);
    for (const Json& f : reviewed().at("findings"))
        CHECK_THAT(r.out, Contains(f.at("text").get<std::string>()));
}

TEST_CASE("review --only keeps to one mount; names are looked up with help", "[cli]") {
    const Ran r = run({"review", "--json", "--only", "W-2", townFile()});
    REQUIRE((r.code == 0 || r.code == 1));
    const Json j = Json::parse(r.out);
    CHECK(j.at("findings").size() < reviewed().at("findings").size());
    const fw::Plan plan = smallTown();
    const Ran wrong = run({"review", "--only", "W-22", townFile()});
    CHECK(wrong.code == 2);
    CHECK_THAT(wrong.err, Contains("Did you mean \"W-2\"?"));
    const std::string radio = "radio " + std::to_string(plan.radios.begin()->id.v);
    CHECK(run({"review", "--only", radio, townFile()}).code <= 1);
}

TEST_CASE("review --profile: other limits, other findings; bad profiles are refused", "[cli]") {
    const fw::testing::TestFolder folder;
    // A mount at 6 to 9 m is never between 30 and 40 m.
    fw::testing::writeBytes(folder / "high.toml",
                            "name = \"high\"\n[height-window]\nlowest = 30.0\nhighest = 40.0\n");
    fw::testing::writeBytes(folder / "bad.toml", "[height-window]\nlwo = 30.0\n");
    const auto heights = [](const Json& j) {
        return std::count_if(j.at("findings").begin(), j.at("findings").end(),
                             [](const Json& f) { return f.at("rule") == "height-window"; });
    };
    const Ran r =
        run({"review", "--json", "--no-remedies", "--profile", (folder / "high.toml").string(), townFile()});
    INFO(r.err);
    REQUIRE_FALSE(r.out.empty());
    CHECK(heights(Json::parse(r.out)) == static_cast<std::ptrdiff_t>(smallTown().mounts.size()));
    CHECK(heights(reviewed()) == 0);
    const Ran bad = run({"review", "--profile", (folder / "bad.toml").string(), townFile()});
    CHECK(bad.code == 3);
    CHECK_THAT(bad.err, Contains("bad.toml") && Contains("lwo") && Contains("2"));
    CHECK(run({"review", "--profile", (folder / "none.toml").string(), townFile()}).code == 3);
}

TEST_CASE("a finding that stands, with its reason, no longer blocks; a stale reason is shown", "[cli]") {
    fw::Plan plan = smallTown();
    std::size_t n = 0;
    for (const Json& f : reviewed().at("findings")) {
        if (f.at("severity") != "block") continue;
        fw::Waiver w;
        w.id = plan.lastId = plan.nextId();
        w.rule = f.at("rule");
        for (const Json& s : f.at("subjects")) w.subjects.push_back({s.at("id").get<std::uint32_t>()});
        std::sort(w.subjects.begin(), w.subjects.end());
        w.variant = plan.settings->activeVariant;
        w.reason = "Agreed on site";
        w.who = "A. Planner";
        w.when = "2026-06-01";
        w.measured = f.at("measured").at("value");
        w.limit = f.at("limit").at("value");
        w.unit = f.at("measured").at("unit");
        plan.waivers.put(w);
        ++n;
    }
    fw::Waiver gone = *plan.waivers.begin();
    gone.id = plan.lastId = plan.nextId();
    gone.rule = "height-window"; // nothing is found by this rule in the town
    gone.subjects = {plan.mounts.begin()->id};
    plan.waivers.put(gone);
    const fw::testing::TestFolder folder;
    saveOrThrow(plan, folder / "kept.plan.gpkg");
    const Json j = jsonOf({"review", (folder / "kept.plan.gpkg").string()}, 0);
    std::size_t stands = 0, stale = 0;
    for (const Json& f : j.at("findings")) {
        if (f.at("state") == "stands") {
            ++stands;
            CHECK(f.at("kept").at("reason") == "Agreed on site");
        }
        if (f.at("state") == "stale") {
            ++stale;
            CHECK(f.at("rule") == "height-window");
        }
    }
    CHECK(stands == n);
    CHECK(stale == 1);
    CHECK(j.at("counts").at("blocking") == 0);
}

TEST_CASE("--variant reviews another set of small cells", "[cli]") {
    fw::Plan plan = smallTown();
    fw::Variant other;
    other.id = plan.lastId = plan.nextId();
    other.name = "Without";
    plan.variants.put(other);
    const fw::testing::TestFolder folder;
    const std::string file = (folder / "two.plan.gpkg").string();
    saveOrThrow(plan, file);
    CHECK(jsonOf({"fit", "--variant", "Without", file}).at("fits").empty());
    CHECK(jsonOf({"fit", file}).at("fits").size() == plan.smallCells.size());
    const Ran wrong = run({"review", "--variant", "Wihtout", file});
    CHECK(wrong.code == 2);
    CHECK_THAT(wrong.err, Contains("Did you mean \"Without\"?") && Contains("Main"));
}

TEST_CASE("fit is the weighted mean of its terms", "[cli]") {
    const Json j = jsonOf({"fit", "--working", townFile()});
    CHECK(j.at("schema") == "fringewright.fit");
    REQUIRE(j.at("fits").size() == smallTown().smallCells.size());
    double before = 101;
    for (const Json& f : j.at("fits")) {
        INFO(f.dump());
        double sum = 0, weights = 0;
        for (const Json& t : f.at("terms")) {
            const double score = t.at("score"), weight = t.at("weight");
            CHECK(score >= 0);
            CHECK(score <= 1);
            CHECK_FALSE(t.at("words").get<std::string>().empty());
            sum += score * weight;
            weights += weight;
        }
        const double value = f.at("fit");
        CHECK(f.at("terms").size() == 5);
        // Scores are printed to six decimals, so a mean times 100 is good to 1e-4.
        CHECK(value == Approx(100 * sum / weights).margin(1e-4));
        CHECK(f.at("working").at("steps").back().at("value").get<double>() == Approx(value).margin(1e-5));
        CHECK(value <= before);
        before = value;
    }
    // What a mount's small cells are called is not part of how well they fit.
    const Json one = jsonOf({"fit", "--only", "W-2", townFile()});
    REQUIRE_FALSE(one.at("fits").empty());
    for (const Json& f : one.at("fits")) CHECK(f.at("mount").at("name") == "W-2");
}

TEST_CASE("a blocked small cell is not buildable, and keeps its number", "[cli]") {
    std::set<std::uint32_t> named;
    for (const Json& f : reviewed().at("findings"))
        if (f.at("severity") == "block" && f.at("subjects")[0].at("kind") == "small cell")
            named.insert(f.at("subjects")[0].at("id").get<std::uint32_t>());
    const Json fits = jsonOf({"fit", townFile()});
    int blocked = 0;
    for (const Json& f : fits.at("fits")) {
        if (named.contains(f.at("small_cell").at("id").get<std::uint32_t>())) {
            ++blocked;
            CHECK_FALSE(f.at("buildable").get<bool>());
        }
        CHECK(f.at("fit").is_number());
    }
    CHECK(blocked == static_cast<int>(named.size()));
}

TEST_CASE("the uplink's ledger adds up, for every cell whose uplink was measured", "[cli]") {
    CHECK_FALSE(jsonOf({"ledger", "--live", townFile()}).contains("uplink"));
    const Json j = jsonOf({"ledger", "--live", "--uplink", townFile()});
    CHECK(j.at("version") == 1);
    const Json& uplink = j.at("uplink");
    const fw::Plan plan = smallTown();
    std::size_t measured = 0;
    for (const fw::Cell& c : plan.cells) measured += c.load.ulPrbUse.has_value();
    REQUIRE(measured > 0);
    CHECK(uplink.at("cells").size() == measured);
    double relieved = 0;
    for (const Json& c : uplink.at("cells")) {
        INFO(c.dump());
        double relief = 0;
        for (const Json& r : c.at("relief")) relief += r.at("use").get<double>();
        relieved += relief;
        // Each figure is printed to eight decimals.
        CHECK(c.at("after").get<double>() == Approx(c.at("before").get<double>() - relief).margin(1e-7));
        const fw::Cell* cell = plan.cells.find({c.at("cell").at("id").get<std::uint32_t>()});
        REQUIRE(cell);
        CHECK(c.at("before").get<double>() == Approx(cell->load.ulPrbUse.value()).margin(1e-8));
        CHECK(c.at("full_power").get<double>() <= 1);
        CHECK(c.at("working").at("steps").back().at("value").get<double>() ==
              Approx(100 * c.at("after").get<double>()).margin(1e-5));
    }
    CHECK(relieved > 0);
    for (const Json& s : uplink.at("small_cells")) CHECK(s.at("noise_rise_db").get<double>() >= 0);
    const std::string words = run({"ledger", "--live", "--all", "--uplink", townFile()}).out;
    CHECK_THAT(words, Contains("points of uplink PRB use"));
    CHECK(run({"ledger", "--uplink", "--threads", "1", townFile()}).out ==
          run({"ledger", "--uplink", "--threads", "3", townFile()}).out);
}

TEST_CASE("the ledger adds up, cell by cell and sector by sector", "[cli]") {
    const Json j = jsonOf({"ledger", townFile()});
    CHECK(j.at("schema") == "fringewright.ledger");
    const fw::Plan plan = smallTown();
    double relieved = 0;
    for (const char* kind : {"live", "settled"}) {
        INFO(kind);
        const Json& ledger = j.at(kind);
        CHECK_FALSE(ledger.at("cells").empty());
        for (const Json& c : ledger.at("cells")) {
            INFO(c.dump());
            double relief = 0;
            for (const Json& r : c.at("relief")) {
                relief += r.at("use").get<double>();
                CHECK(r.at("fringe").get<double>() <= r.at("use").get<double>() + 1e-8);
            }
            relieved += relief;
            // Each figure is printed to eight decimals.
            CHECK(c.at("after").get<double>() ==
                  Approx(c.at("before").get<double>() - relief + c.at("harm").get<double>()).margin(1e-7));
            const fw::Cell* cell = plan.cells.find({c.at("cell").at("id").get<std::uint32_t>()});
            REQUIRE(cell);
            CHECK(c.at("before").get<double>() == Approx(*cell->load.dlPrbUse).margin(1e-8)); // as measured
        }
        // Both carriers of a sector are 20 MHz wide: 100 PRB each (3GPP TS 36.104, Table 5.6-1), so the
        // sector is their mean.
        int congested = 0;
        for (const Json& c : ledger.at("cells")) congested += c.at("congested").get<bool>();
        CHECK(static_cast<int>(ledger.at("cases").size()) == congested);
        for (const Json& c : ledger.at("cases")) CHECK_FALSE(c.at("reason").get<std::string>().empty());
        for (const Json& s : ledger.at("sectors")) {
            double before = 0, n = 0;
            for (const Json& c : ledger.at("cells"))
                if (c.at("sector") == s.at("sector")) before += c.at("before").get<double>(), n += 1;
            CHECK(s.at("before").get<double>() == Approx(before / n).margin(1e-7));
        }
    }
    CHECK(relieved > 0);
    const std::string said = run({"ledger", "--live", townFile()}).out;
    std::size_t passed = 0, hasty = 0;
    for (const Json& s : j.at("live").at("small_cells")) {
        const Json& dwell = s.at("dwell_s");
        if (dwell.is_null()) continue;
        CHECK(dwell.at("median").get<double>() <= dwell.at("longest").get<double>());
        ++passed;
        const bool isShort = dwell.at("median").get<double>() < 5;
        hasty += isShort;
        const Json& streets = s.at("streets");
        CHECK(streets.at("speed_kmh") == 50);
        CHECK(streets.at("stretches").get<int>() > 0);
        CHECK(dwell.at("longest").get<double>() ==
              Approx(streets.at("longest_m").get<double>() / (50 / 3.6)).margin(0.001));
        CHECK(streets.at("note").is_string() == isShort);
    }
    CHECK(passed > 0);
    const auto times = [&said](const char* words) {
        std::size_t n = 0;
        for (std::size_t at = said.find(words); at != std::string::npos; at = said.find(words, at + 1)) ++n;
        return n;
    };
    CHECK(times("on streets at 50 km/h: median stay ") == passed);
    CHECK(times(": short stays\n") + times(": all stays short, ") == hasty);
    CHECK(times("Short stays: most stretches of street are left within 5 s") == (hasty > 0 ? 1 : 0));
    CHECK_FALSE(jsonOf({"ledger", "--live", townFile()}).contains("settled"));
    CHECK_FALSE(jsonOf({"ledger", "--settled", townFile()}).contains("live"));
    const std::string words = run({"ledger", "--live", "--all", townFile()}).out;
    for (const fw::Cell& c : plan.cells)
        if (c.load.dlPrbUse) CHECK_THAT(words, Contains(c.name));
}
