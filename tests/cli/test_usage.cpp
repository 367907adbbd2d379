// SPDX-License-Identifier: GPL-3.0-or-later
// Exit codes, streams and words of the command line, whatever the plan.
#include "catch.h"
#include "cli/program.h"
#include "support/places.h"

#include <map>
#include <regex>
#include <set>
#include <sstream>

using namespace fwtest;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;

namespace {

const Words kCommands{"info",     "check",      "audit",  "new",      "add",    "calibrate", "after",
                      "template", "review",     "fit",    "ledger",   "chance", "variants",  "aim",
                      "propose",  "alternates", "choose", "identify", "pack",   "evidence",  "calc"};

// Long options a text names, with "-" where the man page writes "\-".
std::set<std::string> longOptions(std::string text) {
    text = std::regex_replace(text, std::regex(R"(\\-)"), "-");
    std::set<std::string> out;
    const std::regex option("--[a-z][a-z-]*");
    for (std::sregex_iterator at(text.begin(), text.end(), option), end; at != end; ++at)
        out.insert(at->str());
    return out;
}

// The man page by command: what stands between ".SS command" and the next heading.
std::map<std::string, std::string> manSections() {
    std::map<std::string, std::string> out;
    std::istringstream page(fw::testing::bytesOf(fw::testing::sourceFile("resources/fringewright.1")));
    std::string line, section;
    while (std::getline(page, line)) {
        if (line.starts_with(".SH ")) section = line.substr(4);
        if (line.starts_with(".SS ")) section = line.substr(4, line.find(' ', 4) - 4);
        out[section] += line + "\n";
    }
    return out;
}

} // namespace

TEST_CASE("a seed with a sign or too many digits is a usage error before any work", "[cli]") {
    for (const Words& command : {Words{"chance", "none.gpkg"}, Words{"variants", "none.gpkg"},
                                 Words{"choose", "none.gpkg", "--budget-count", "1"},
                                 Words{"evidence", "none.gpkg", "-o", "none.pdf"}})
        for (const char* seed :
             {"-1", "+1", "18446744073709551616", "12345678901234567890123", "1.5", "0x10", "one"}) {
            Words words = command;
            words.push_back(std::string("--seed=") + seed);
            const Ran r = run(words);
            INFO(command.front() << " --seed=" << seed << ": " << r.err);
            CHECK(r.code == 2);
            CHECK_THAT(r.err, Contains(std::string(seed) + " is no seed: give a whole number from 0 to"));
        }
    // The plan is not there: with a good seed that is what is said.
    for (const char* seed : {"0", "18446744073709551615"})
        CHECK(run({"chance", "none.gpkg", "--seed", seed}).code == 3);
}

TEST_CASE("help and version go to the standard output with exit code 0", "[cli]") {
    for (const Words& words : {Words{"--help"}, Words{"-h"}, Words{"review", "--help"}, Words{"--version"}}) {
        INFO(words.front());
        const Ran r = run(words);
        CHECK(r.code == 0);
        CHECK_FALSE(r.out.empty());
        CHECK(r.err.empty());
    }
    CHECK_THAT(run({"--version"}).out, StartsWith("fringewright "));
    const std::string help = run({"--help"}).out;
    for (const std::string& command : kCommands) CHECK_THAT(help, Contains(command));
}

TEST_CASE("the man page has the options that help has, command by command", "[cli]") {
    const auto man = manSections();
    for (const std::string& command : kCommands) {
        INFO(command);
        REQUIRE(man.contains(command));
        auto help = longOptions(run({command, "--help"}).out);
        REQUIRE(help.erase("--help") == 1);
        REQUIRE_FALSE(help.empty());
        CHECK(longOptions(man.at(command)) == help);
    }
    auto top = longOptions(run({"--help"}).out);
    CHECK(longOptions(man.at("OPTIONS")) == top);
}

TEST_CASE("misuse: exit code 2, a sentence that helps, nothing on the standard output", "[cli]") {
    const std::vector<std::pair<Words, std::string>> cases{
        {{"revew", "x.gpkg"}, "Did you mean \"review\"?"},
        {{"legder", "x.gpkg"}, "Did you mean \"ledger\"?"},
        {{"zzzzzzzz"}, "There is no command \"zzzzzzzz\""},
        {{"review"}, "PLAN"},
        {{"review", "--jsno", "x.gpkg"}, "Did you mean \"--json\"?"},
        {{"review", "x.gpkg", "y.gpkg"}, "one argument too many"},
        {{"review", "--threads", "0", "x.gpkg"}, "--threads"},
        {{"review", "--threads", "many", "x.gpkg"}, "--threads"},
        {{"pack", "x.gpkg"}, "--output"},
        {{"pack", "x.gpkg", "-o", "d", "--paper", "B5"}, "--paper"},
        {{"calc"}, "--list"},
        {{"calc", "free_space", "f_GHz"}, "key=value"},
        {{"calc", "free_space", "f_GHz=1", "f_GHz=2", "d_m=1"}, "given twice"},
        {{"calc", "free_spac", "f_GHz=1"}, "Did you mean \"free_space\"?"},
        {{"calc", "free_space", "f_GHz=1"}, "d_m is missing"},
    };
    for (const auto& [words, says] : cases) {
        INFO((words.empty() ? "no arguments" : words.front() + " " + words.back()));
        const Ran r = run(words);
        CHECK(r.code == 2);
        CHECK(r.out.empty());
        CHECK_THAT(r.err, StartsWith("fringewright") && Contains(says));
        CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
    }
}

TEST_CASE("without a display the window says so and what to do instead", "[cli]") {
    const Environment bare{{"QT_QPA_PLATFORM", ""}, {"DISPLAY", ""}, {"WAYLAND_DISPLAY", ""}};
    for (const Words& words : {Words{}, Words{"x.plan.gpkg"}, Words{"./x"}}) {
        const Ran r = run(words, bare);
        CHECK(r.code == 2);
        CHECK(r.out.empty());
        CHECK_THAT(r.err, StartsWith("fringewright") && Contains("There is no display"));
    }
}

TEST_CASE("what cannot be read: exit code 3, one sentence with the file's name", "[cli]") {
    const fw::testing::TestFolder folder;
    fw::testing::writeBytes(folder / "text.gpkg", "This is not a plan.\n");
    std::string bytes = fw::testing::bytesOf(townFile());
    fw::testing::writeBytes(folder / "short.gpkg", bytes.substr(0, bytes.size() / 2));
    std::filesystem::create_directory(folder / "folder.gpkg");
    for (const std::string name : {"missing.gpkg", "text.gpkg", "short.gpkg", "folder.gpkg"})
        for (const Words& command : {Words{"info"}, Words{"review"}, Words{"pack", "-o", "out"}}) {
            INFO(command.front() << " " << name);
            Words words = command;
            words.push_back(name);
            const Ran r = run(words, {}, folder.path().string());
            CHECK(r.code == 3);
            CHECK(r.out.empty());
            CHECK_THAT(r.err, StartsWith("fringewright: ") && Contains(name));
            CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
        }
    CHECK_FALSE(std::filesystem::exists(folder / "out"));
}

TEST_CASE("a result that cannot be written is said, not lost", "[cli]") {
    const std::string full = "exec \"$0\" calc --list > /dev/full";
    const std::string command = "sh -c '" + full + "' " + Child::program() + " 2>/dev/null";
    const int status = std::system(command.c_str()); // NOLINT(cert-env33-c): the shell is what is tested
    REQUIRE(WIFEXITED(status));
    CHECK(WEXITSTATUS(status) == 3);
}

TEST_CASE("after -- a file may begin with a dash", "[cli]") {
    const fw::testing::TestFolder folder;
    std::filesystem::copy_file(townFile(), folder / "--json");
    const Ran r = run({"info", "--", "--json"}, {}, folder.path().string());
    CHECK(r.code == 0);
    CHECK_THAT(r.out, StartsWith("Random town\n")); // words, since --json was a file's name
}
