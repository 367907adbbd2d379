// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/site_sheet.h"

#include "catch.h"

#include <algorithm>
#include <regex>

using namespace fw;

namespace {

bool has(const std::vector<Caution>& list, const std::string& topic) {
    return std::any_of(list.begin(), list.end(), [&](const Caution& c) { return c.topic == topic; });
}

SiteHazards everything() {
    SiteHazards h;
    h.height = h.roof = h.structure = h.pole = h.electricity = h.battery = h.rf = h.digging = h.lines =
        h.lightning = h.fibre = h.street = true;
    return h;
}

} // namespace

TEST_CASE("each caution is one sentence and says who decides") {
    const std::regex whoDecides("local|licensed|competent|owner|authority");
    const auto all = cautionsFor(everything());
    CHECK(all.size() == 13);
    for (const Caution& c : all) {
        INFO(c.topic << ": " << c.text);
        CHECK(std::regex_search(c.text, whoDecides));
        CHECK(std::count(c.text.begin(), c.text.end(), '.') == 1);
        CHECK(c.text.back() == '.');
    }
    CHECK(deferPhrase().find("come first") != std::string::npos);
}

TEST_CASE("cautions match the site") {
    Mount pole;
    pole.kind = MountKind::pole;
    pole.height = {7};
    pole.linesSurveyed = true;
    pole.earthPossible = false;
    auto list = cautionsFor(hazardsOf(pole, nullptr));
    CHECK(has(list, "Height"));
    CHECK(has(list, "Pole"));
    CHECK(has(list, "Radio waves"));
    CHECK(has(list, "Electricity"));
    CHECK_FALSE(has(list, "Roof edge"));
    CHECK_FALSE(has(list, "What carries it"));
    CHECK_FALSE(has(list, "Battery"));
    CHECK_FALSE(has(list, "Digging"));
    CHECK_FALSE(has(list, "Overhead lines")); // surveyed, and none is known near

    Mount roof = pole;
    roof.kind = MountKind::roof;
    roof.linesSurveyed = false; // not surveyed counts as there
    roof.earthPossible = true;
    SiteWorks works;
    works.cabinet = "cabinet with Battery for 2 h";
    list = cautionsFor(hazardsOf(roof, &works));
    for (const char* topic :
         {"Roof edge", "What carries it", "Battery", "Digging", "Overhead lines", "Lightning"})
        CHECK(has(list, topic));
    CHECK_FALSE(has(list, "Pole"));
    CHECK(list.front().topic == "Overhead lines"); // the most lethal first
}

TEST_CASE("checks carry the plan's figures and tolerances of common practice") {
    SiteSheet s;
    s.geo = {36.889884, -20.405797};
    s.heightAgl = 7.2;
    RadioSheet r;
    r.name = "R-1";
    r.azimuthTrue = 6;
    r.azimuthMagnetic = 12;
    r.tiltDeg = 3;
    r.tiltWord = "down";
    r.powerDbm = 37;
    CellSheet c;
    c.pci = 214;
    c.biasDb = 3;
    c.powerDownDb = 2;
    r.cells = {c};
    s.radios = {r};
    const auto checks = checksFor(s, true);
    const auto find = [&](const std::string& what) {
        const auto it =
            std::find_if(checks.begin(), checks.end(), [&](const Check& k) { return k.what == what; });
        REQUIRE(it != checks.end());
        return *it;
    };
    CHECK(find("Azimuth").planned == "006 deg true / 012 deg magnetic");
    CHECK(find("Azimuth").tolerance == "±5 deg");                    // common practice
    CHECK(find("Tilt").tolerance == "±1 deg");                       // common practice
    CHECK(find("Height of radiation centre").tolerance == "±0.5 m"); // common practice
    CHECK(find("Azimuth").basis == "common practice");
    CHECK(find("Set and read back").planned ==
          "PCI 214, bias 3 dB, 35.0 dBm"); // 37 less the 2 that are taken off
    CHECK(find("Satellites locked").planned == "4 or more");
    const auto without = checksFor(s, false);
    CHECK(without.size() + 1 == checks.size());
}
