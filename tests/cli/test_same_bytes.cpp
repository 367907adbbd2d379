// SPDX-License-Identifier: GPL-3.0-or-later
// The same plan gives the same bytes: run by run, on any number of threads, with and without wide kernels,
// under a decimal comma, and as a process of its own beside a study that grew edit by edit.
#include "catch.h"
#include "cli/program.h"
#include "commands/commands.h"
#include "plan/edit.h"
#include "store/plan_terrain.h"
#include "study/settled.h"
#include "support/places.h"

#include <nlohmann/json.hpp>

#include <cstdlib>

using namespace fwtest;

namespace {

// A locale with a decimal comma, made from the system's sources; its folder for LOCPATH.
const std::string& commaLocales() {
    static const std::string folder = [] {
        const std::filesystem::path at = fw::testing::builtFile("tests/locales");
        std::filesystem::create_directories(at);
        const auto made = at / "de_DE.UTF-8";
        const std::string command = "localedef -i de_DE -f UTF-8 '" + made.string() + "' 2>/dev/null";
        // NOLINTNEXTLINE(cert-env33-c): the system's own tool
        if (!std::filesystem::exists(made) && std::system(command.c_str()) > 256) return std::string();
        return at.string();
    }();
    return folder;
}

const std::vector<Words>& commands() {
    static const std::vector<Words> all{{"info"},
                                        {"info", "--json"},
                                        {"review"},
                                        {"review", "--json"},
                                        {"fit", "--working"},
                                        {"fit", "--json", "--working"},
                                        {"ledger"},
                                        {"ledger", "--json"},
                                        {"chance", "--draws", "40"},
                                        {"chance", "--draws", "40", "--json", "--live"}};
    return all;
}

std::string printed(Words words, const Environment& environment = {}) {
    words.push_back(townFile());
    const Ran r = run(words, environment);
    INFO(r.err);
    REQUIRE((r.code == 0 || r.code == 1));
    REQUIRE_FALSE(r.out.empty());
    return r.out;
}

} // namespace

TEST_CASE("two runs, one thread or more, plain kernels or wide: the same bytes", "[cli][slow]") {
    for (const Words& command : commands()) {
        INFO(command.front() << " " << command.back());
        const std::string once = printed(command);
        CHECK(printed(command) == once);
        if (command.front() == "info") continue;
        CHECK(printed(command, {{"FRINGEWRIGHT_PLAIN_KERNELS", "1"}}) == once);
        for (const char* threads : {"1", "2", "5"}) {
            Words with = command;
            with.insert(with.end(), {"--threads", threads});
            CHECK(printed(with) == once);
        }
    }
}

TEST_CASE("a decimal comma in the user's country changes no byte", "[cli]") {
    Environment comma{{"LC_ALL", "de_DE.UTF-8"}};
    // Where all tests run under that locale the system has it; else it is made.
    if (!std::getenv("FW_EXPECT_DECIMAL_COMMA")) {
        REQUIRE_FALSE(commaLocales().empty()); // the sources of locales are among the packages of the tests
        comma.emplace_back("LOCPATH", commaLocales());
    }
    for (const Words& command : {Words{"info"}, Words{"review", "--json"}, Words{"ledger"}})
        CHECK(printed(command, comma) == printed(command, {{"LC_ALL", "C"}}));
    const Words calc{"calc", "free_space", "f_GHz=2.6", "d_m=100.5"};
    CHECK(run(calc, comma).out == run(calc, {{"LC_ALL", "C"}}).out);
    CHECK(run({"calc", "free_space", "f_GHz=2,6", "d_m=100.5"}, comma).code == 2);
}

TEST_CASE("a study grown edit by edit prints what a new process prints of the saved plan", "[cli][slow]") {
    const fw::testing::TestFolder folder;
    const std::string file = (folder / "grown.plan.gpkg").string();
    fw::Plan plan = smallTown();
    const std::shared_ptr<const fw::Terrain> flat = *fw::loadTerrain(plan, file);
    fw::Random random(20260601);
    std::shared_ptr<const fw::Study> study;
    for (int round = 0; round < 6; ++round) {
        for (int k = 0; k < 8; ++k) {
            const auto kind = static_cast<fw::testing::EditKind>(random.below(fw::testing::kEditKinds));
            REQUIRE(fw::apply(plan, fw::testing::randomEdit(plan, random, kind)).ok());
            auto next = fw::Study::advance(study, plan, flat);
            INFO(static_cast<int>(kind));
            REQUIRE(next.ok());
            study = *next;
        }
        saveOrThrow(plan, file);
        INFO("after round " << round);
        const fw::Review review = fw::reviewAll(*study);
        CHECK(run({"review", "--json", "--threads", "1", file}).out == fw::cli::reviewJson(*study, review));
        const auto settled = fw::settle(*study);
        REQUIRE(settled.ok());
        const Ran ledger = run({"ledger", "--json", file}, {{"FRINGEWRIGHT_PLAIN_KERNELS", "1"}});
        CHECK(ledger.out == fw::cli::ledgerJson(*study, &study->live(), &*settled));
    }
}
