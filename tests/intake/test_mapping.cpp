// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "intake/kind_guess.h"
#include "intake/mapping.h"
#include "plan/fields.h"
#include "store/folder.h"

#include <map>
#include <set>

using namespace fw;
using Catch::Matchers::Contains;

namespace {

SourceHead headWith(const std::vector<std::string>& columns) {
    SourceHead head;
    head.file = "table.csv";
    head.format = "text";
    for (const std::string& c : columns) head.columns.push_back({c, false, {}});
    return head;
}

std::string mappedColumn(const IntakeKindInfo& info, const SourceHead& head, const Mapping& m,
                         const char* field) {
    const int c = m[static_cast<std::size_t>(fieldNumber(info, field))].column;
    return c < 0 ? std::string() : head.columns[static_cast<std::size_t>(c)].name;
}
std::string mappedUnit(const IntakeKindInfo& info, const Mapping& m, const char* field) {
    return m[static_cast<std::size_t>(fieldNumber(info, field))].unit;
}

} // namespace

TEST_CASE("headers fold to letters and digits, and give up their unit") {
    struct Case {
        const char *column, *name, *unit;
    };
    for (const Case& c :
         {Case{"Height AGL [m]", "heightagl", "m"}, Case{"HOEHE_FT", "hoehe", "ft"},
          Case{"Höhe (m)", "hoehe", "m"}, Case{"azimuth (deg)", "azimuth", "deg"},
          Case{"DL PRB use %", "dlprbuse", "%"}, Case{"building:levels", "buildinglevels", ""},
          Case{"Tx Power (dBm)", "txpower", "dBm"}, Case{"name", "name", ""}, Case{"m", "m", ""},
          Case{"Hauteur  ", "hauteur", ""}}) {
        const FoldedHeader f = foldedHeader(c.column);
        INFO(c.column);
        CHECK(f.name == c.name);
        CHECK(f.unit == c.unit);
    }
}

TEST_CASE("every kind has a name of its own, fields of their own, and headers that no two fields share") {
    std::set<std::string> names;
    for (int k = 0; k < kIntakeKinds; ++k) {
        const IntakeKindInfo& info = infoOf(static_cast<IntakeKind>(k));
        INFO(info.name);
        CHECK(static_cast<int>(info.kind) == k);
        CHECK(names.insert(info.name).second);
        CHECK(intakeKindNamed(info.name) == info.kind);
        std::set<std::string> fields;
        for (const IntakeField& f : info.fields) CHECK(fields.insert(f.name).second);
    }
    CHECK_FALSE(intakeKindNamed("nothing"));
}

TEST_CASE("a template's own headers map to just its fields, needed ones with an example") {
    for (int k = 0; k < kIntakeKinds; ++k) {
        const IntakeKindInfo& info = infoOf(static_cast<IntakeKind>(k));
        if (info.raster) continue;
        INFO(info.name);
        const std::string text = templateOf(info.kind);
        std::vector<std::string> columns;
        std::string first = text.substr(0, text.find('\n'));
        for (std::size_t from = 0; from <= first.size();) {
            const std::size_t end = std::min(first.find(',', from), first.size());
            columns.push_back(first.substr(from, end - from));
            from = end + 1;
        }
        const SourceHead head = headWith(columns);
        const auto mapping = mappingFor(info, head, {});
        REQUIRE(mapping);
        CHECK(missingFields(info, *mapping).empty());
        for (const MappedField& m : *mapping)
            if (m.column >= 0)
                CHECK(head.columns[static_cast<std::size_t>(m.column)].name ==
                      info.fields[static_cast<std::size_t>(m.field)].name);
    }
}

TEST_CASE("what the user says comes before what is remembered, and that before the headers") {
    const IntakeKindInfo& info = infoOf(IntakeKind::buildings);
    const SourceHead head = headWith({"height", "H_EAVES_FT", "levels", "wkt"});
    const auto plain = mappingFor(info, head, {});
    REQUIRE(plain);
    CHECK(mappedColumn(info, head, *plain, "height_m") == "height");
    const MapWords remembered{{"height_m", {"H_EAVES_FT", ""}}};
    const auto recalled = mappingFor(info, head, {}, remembered);
    REQUIRE(recalled);
    CHECK(mappedColumn(info, head, *recalled, "height_m") == "H_EAVES_FT");
    CHECK(mappedUnit(info, *recalled, "height_m") == "ft");
    const auto said = mappingFor(info, head, {{"height_m", {"height", "cm"}}}, remembered);
    REQUIRE(said);
    CHECK(mappedColumn(info, head, *said, "height_m") == "height");
    CHECK(mappedUnit(info, *said, "height_m") == "cm");
    const auto none = mappingFor(info, head, {{"storeys", {"", ""}}});
    REQUIRE(none);
    CHECK(mappedColumn(info, head, *none, "storeys").empty());
    // A memory that names what is gone is passed over.
    CHECK(mappingFor(info, head, {}, {{"height_m", {"gone", ""}}}).ok());
}

TEST_CASE("fields, columns and units that do not exist are refused with those that do") {
    const IntakeKindInfo& info = infoOf(IntakeKind::buildings);
    const SourceHead head = headWith({"height", "wkt"});
    const auto field = mappingFor(info, head, {{"hight", {"height", ""}}}),
               column = mappingFor(info, head, {{"height_m", {"HOEHE", ""}}}),
               unit = mappingFor(info, head, {{"height_m", {"height", "dBm"}}});
    REQUIRE_FALSE(field);
    CHECK_THAT(field.error().text, Contains("height_m"));
    REQUIRE_FALSE(column);
    CHECK_THAT(column.error().text, Contains("wkt"));
    REQUIRE_FALSE(unit);
    CHECK_THAT(unit.error().text, Contains("ft"));
    CHECK_FALSE(mapWordFrom("height").ok());
    const auto word = mapWordFrom("height_m=Ho:he:ft");
    REQUIRE(word);
    CHECK(word->first == "height_m");
    CHECK(word->second.column == "Ho:he");
    CHECK(word->second.unit == "ft");
}

TEST_CASE("a mapping is remembered by kind and headers, and a broken memory is none") {
    const testing::TestFolder folder;
    MappingMemory memory(folder / "deep/mappings.json");
    const IntakeKindInfo& info = infoOf(IntakeKind::buildings);
    const SourceHead head = headWith({"A", "B"}), other = headWith({"A", "C"});
    const auto mapping = mappingFor(info, head, {{"height_m", {"B", "ft"}}});
    REQUIRE(mapping);
    CHECK(memory.recall(info, head).empty());
    REQUIRE(memory.remember(info, head, *mapping).ok());
    const MapWords words = memory.recall(info, head);
    REQUIRE(words.count("height_m") == 1);
    CHECK(words.at("height_m").column == "B");
    CHECK(words.at("height_m").unit == "ft");
    CHECK(memory.recall(info, other).empty());
    CHECK(memory.recall(infoOf(IntakeKind::trees), head).empty());
    testing::writeBytes(folder / "deep/mappings.json", "{not json");
    CHECK(memory.recall(info, head).empty());
    CHECK(memory.remember(info, head, *mapping).ok());
    CHECK(memory.recall(info, head).size() == 1);
}

TEST_CASE("what a file holds is guessed from its geometry, headers and name") {
    const auto guessed = [](const char* file, const char* shapes, const std::vector<std::string>& columns) {
        SourceHead head = headWith(columns);
        head.file = file;
        head.shapes = shapes;
        head.hasShapes = *shapes != 0;
        return guessKind(head);
    };
    CHECK(guessed("x.geojson", "polygons", {"height", "building:levels"}) == IntakeKind::buildings);
    CHECK(guessed("congestion areas.kml", "polygons", {"Name"}) == IntakeKind::areas);
    CHECK(guessed("x.gpkg", "lines", {"name", "width"}) == IntakeKind::streets);
    CHECK(guessed("overhead.shp", "lines", {"name", "kv"}) == IntakeKind::lines);
    CHECK(guessed("x.csv", "", {"cell", "time", "dl prb use (%)", "users"}) == IntakeKind::counters);
    CHECK(guessed("x.csv", "", {"cell", "site", "lat", "lon", "azimuth", "earfcn", "pci"}) ==
          IntakeKind::cells);
    CHECK(guessed("x.csv", "", {"lat", "lon", "rsrp", "pci", "earfcn"}) == IntakeKind::measurements);
    CHECK(guessed("x.csv", "", {"antenna", "plane", "angle", "loss"}) == IntakeKind::antennas);
    CHECK(guessed("poles.csv", "", {"id", "lat", "lon", "height"}) == IntakeKind::mounts);
    CHECK_FALSE(guessed("x.csv", "", {"a", "b"}).has_value());
}
