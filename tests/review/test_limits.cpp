// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "review/holds.h"
#include "review/limits.h"
#include "review/line_zone.h"
#include "support/places.h"

#include <fstream>
#include <sstream>

using namespace fw;
using namespace fwtest;

namespace {

std::string fileText(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    std::ostringstream out;
    out << in.rdbuf();
    return out.str();
}

std::string refusalOf(const std::string& toml) {
    const auto r = profileFromToml(toml);
    REQUIRE(!r.ok());
    return r.error().sentence();
}

} // namespace

TEST_CASE("A profile's values stand over the defaults", "[review]") {
    const Limits l(
        RuleProfile{"own", {{"mutual-facing.block-within", 90}, {"no.such", 3}, {"faces-macro.margin", -4}}});
    CHECK(l["mutual-facing.block-within"] == 90);
    CHECK(l["mutual-facing.warn-within"] == 200);
    CHECK(l["faces-macro.margin"] == 5); // out of its range: not followed
}

TEST_CASE("A profile goes through TOML unchanged", "[review]") {
    for (const RuleProfile& p :
         {RuleProfile{},
          RuleProfile{"Harbour \"east\" \\ 2\n\x01 \xc3\xa9", {{"height-window.highest", 11.25}}},
          RuleProfile{
              "many",
              {{"sky-view.mask", 12}, {"line-clearance.to-1kv", 0.1}, {"macro-faces-cell.warn", -3.5}}}}) {
        const auto back = profileFromToml(profileToToml(p));
        REQUIRE(back.ok());
        CHECK(*back == p);
    }
    // Every limit of the table can be set, at both ends of its range.
    RuleProfile low{"low", {}}, high{"high", {}};
    for (const LimitInfo& l : limitTable()) {
        if (l.min != l.value) low.limits[l.name] = l.min;
        if (l.max != l.value) high.limits[l.name] = l.max;
    }
    for (const RuleProfile& p : {low, high}) {
        const auto back = profileFromToml(profileToToml(p));
        REQUIRE(back.ok());
        CHECK(*back == p);
    }
}

TEST_CASE("Whole numbers, missing tables and an empty file are fine in a profile", "[review]") {
    const auto r = profileFromToml("[height-window]\nhighest = 10\n");
    REQUIRE(r.ok());
    CHECK(r->limits == std::map<std::string, double>{{"height-window.highest", 10}});
    CHECK(r->name == "default");
    CHECK(profileFromToml("").ok());
}

TEST_CASE("A bad profile is refused by a sentence with its line", "[review]") {
    CHECK(holds(refusalOf("name = \"x\"\n[faces-makro]\nmargin = 5\n"),
                "line 2: there is no rule called 'faces-makro'"));
    CHECK(holds(refusalOf("[faces-macro]\nmargin = 5\n\nmargn = 5\n"),
                "line 4: 'faces-macro' has no limit called 'margn'"));
    CHECK(holds(refusalOf("[faces-macro]\nmargin = \"5\"\n"),
                "line 2: 'faces-macro.margin' must be a number of deg"));
    CHECK(holds(refusalOf("[faces-macro]\nmargin = 91\n"),
                "line 2: 'faces-macro.margin' is 91 deg; allowed are 0 to 90"));
    CHECK(holds(refusalOf("[faces-macro]\nmargin = nan\n"), "line 2"));
    CHECK(holds(refusalOf("[faces-macro]\nmargin = inf\n"), "line 2"));
    CHECK(holds(refusalOf("[faces-macro]\nmargin = \n"), "line 2: this is not TOML"));
    CHECK(holds(refusalOf("margin = 5\n"), "line 1: 'margin' stands outside every table"));
    CHECK(holds(refusalOf("name = 5\n"), "line 1: 'name' must be text"));
    CHECK(holds(refusalOf("[faces-macro]\nmargin = 5\nmargin = 6\n"), "line 3"));
}

TEST_CASE("The profile that is installed holds the defaults", "[review]") {
    const std::string path = fw::testing::sourceFile("resources/profiles/default.toml");
    CHECK(fileText(path) == profileToToml({}));
}

TEST_CASE("Each limit in TOML has unit, range and origin beside it", "[review]") {
    std::istringstream in(profileToToml({}));
    std::size_t limits = 0;
    for (std::string line; std::getline(in, line);) {
        if (line.empty() || line[0] == '#' || line[0] == '[' || line.rfind("name", 0) == 0) continue;
        const LimitInfo& l = limitTable()[limits++];
        INFO(line);
        CHECK(holds(line, "# " + l.unit + ", "));
        CHECK(holds(line, "; " + l.origin));
    }
    CHECK(limits == limitTable().size());
}

// The steps of the table at, just under and just over their voltages; unknown is the worst of them.
TEST_CASE("Clearance from a line goes by its voltage, and unknown counts as the highest", "[review]") {
    const Limits l;
    CHECK(lineZoneM(l, 0.4) == 3 + 1);
    CHECK(lineZoneM(l, 1.0) == 3 + 1);
    CHECK(lineZoneM(l, 1.001) == 3 + 3);
    CHECK(lineZoneM(l, 50.0) == 3 + 3);
    CHECK(lineZoneM(l, 50.001) == 3 + 5);
    CHECK(lineZoneM(l, 200.0) == 3 + 5);
    CHECK(lineZoneM(l, 200.001) == 3 + 7);
    CHECK(lineZoneM(l, std::nullopt) == 3 + 7);
    const Limits odd(RuleProfile{"odd", {{"line-clearance.to-1kv", 9}}});
    CHECK(lineZoneM(odd, std::nullopt) == 3 + 9);
}
