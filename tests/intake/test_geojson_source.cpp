// SPDX-License-Identifier: GPL-3.0-or-later
// The reader of GeoJSON beside GDAL's, and on texts that are none.
#include "catch.h"
#include "intake/geojson_reader.h"
#include "intake/geojson_source.h"
#include "intake/geojson_text.h"
#include "intake/ogr_files.h"
#include "intake/rows.h"
#include "intake/source_system.h"
#include "intake/trap_files.h"
#include "intake/vector_source.h"
#include "store/folder.h"

using namespace fw;
using namespace fw::testing;

namespace {

std::unique_ptr<Source> opened(const std::string& text, const TestFolder& folder) {
    writeBytes(folder / "in.geojson", text);
    auto source = openSource(folder / "in.geojson");
    INFO(text.substr(0, 500) << "\n" << (source ? "" : source.error().sentence()));
    REQUIRE(source.ok());
    return std::move(*source);
}

std::string refusal(const std::string& text, const TestFolder& folder) {
    writeBytes(folder / "in.geojson", text);
    const auto source = openSource(folder / "in.geojson");
    return source ? "" : source.error().sentence();
}

std::string featureOf(const std::string& geometry, const std::string& properties = "{}") {
    return geoJsonOf(R"({"type":"Feature","properties":)" + properties + R"(,"geometry":)" + geometry + "}");
}

/// Every row as text, read through windows of that size.
std::vector<std::string> throughWindow(const std::string& text, std::size_t window) {
    std::size_t at = 0;
    GeoJsonColumns columns;
    GeoJsonFeatures features(columns);
    GeoJsonReader reader(
        [&](char* to, std::size_t most) {
            const std::size_t n = std::min({most, text.size() - at, window});
            text.copy(to, n, at);
            at += n;
            return n;
        },
        window);
    std::vector<std::string> rows;
    SourceHead head;
    const Status read = reader.read(features, {}, [&](SourceRow& row) {
        columns.look(row);
        head.columns = columns.columns();
        rows.push_back(textOf(head, row));
        return true;
    });
    rows.push_back(read ? "end" : read.error().text);
    return rows;
}

} // namespace

TEST_CASE("random collections give the rows that GDAL gives", "[geojson]") {
    const TestFolder folder;
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        GeoJsonText random(seed);
        const std::string text = random.collection(30);
        const auto ours = opened(text, folder);
        const auto theirs = openVectorSource(*admitFile(folder / "in.geojson"), {});
        REQUIRE(theirs.ok());
        const auto read = rowsOf(*ours), expected = rowsOf(**theirs);
        INFO("seed " << seed);
        REQUIRE(read.size() == expected.size());
        for (std::size_t k = 0; k < read.size(); ++k)
            CHECK(textOf(ours->head(), read[k], {"list"}) ==
                  textOf((*theirs)->head(), expected[k], {"list"}));
        for (const SourceColumn& column : (*theirs)->head().columns) {
            const auto& mine = ours->head().columns;
            const auto same =
                std::find_if(mine.begin(), mine.end(), [&](const auto& c) { return c.name == column.name; });
            REQUIRE(same != mine.end());
            CHECK(same->numeric == column.numeric);
        }
    }
}

TEST_CASE("it does not matter where a window ends", "[geojson]") {
    GeoJsonText random(77);
    const std::string text = random.collection(4), broken = text.substr(0, text.size() / 2);
    const auto whole = throughWindow(text, 1 << 20), part = throughWindow(broken, 1 << 20);
    CHECK(whole.back() == "end");
    CHECK(part.back().find("ends too early") != std::string::npos);
    for (std::size_t window = 2; window < 300; ++window) {
        INFO("window " << window);
        REQUIRE(throughWindow(text, window) == whole);
        REQUIRE(throughWindow(broken, window) == part);
    }
}

TEST_CASE("cut off anywhere a collection is refused", "[geojson]") {
    GeoJsonText random(78);
    const std::string text = geoJsonOf(random.feature() + "," + random.feature());
    for (std::size_t n = 1; n < text.size(); ++n) {
        const auto rows = throughWindow(text.substr(0, n), 64);
        INFO(text.substr(0, n));
        REQUIRE(rows.back() != "end");
        REQUIRE(rows.back().back() == '.');
    }
}

TEST_CASE("a feature a line, one feature, one geometry", "[geojson]") {
    const TestFolder folder;
    CHECK(rowsOf(*opened(kJsonPoint + "\n" + kJsonPoint + "\r\n\n" + kJsonPoint, folder)).size() == 3);
    CHECK(rowsOf(*opened("\x1e" + kJsonPoint + "\n\x1e" + kJsonPoint + "\n", folder)).size() == 2);
    CHECK(rowsOf(*opened("\xef\xbb\xbf" + kJsonPoint, folder)).size() == 1);
    const auto alone = rowsOf(*opened(R"({"type":"Point","coordinates":[-6,53]})", folder));
    REQUIRE(alone.size() == 1);
    CHECK(alone[0].shape.points == std::vector<PlanePoint>{{-6, 53}});
    const auto none = opened(geoJsonOf(""), folder);
    CHECK(rowsOf(*none).empty());
    CHECK(none->head().notes.back().find("no rows") != std::string::npos);
}

TEST_CASE("values are kept as they are", "[geojson]") {
    const TestFolder folder;
    const auto source =
        opened(featureOf("null", R"({"big":12345678901234567890,"exact":9007199254740992,)"
                                 R"("nan":NaN,"huge":1e999,"tiny":-1e-999,"blank":"  ","pad":" a ",)"
                                 R"("deep":{"a":[1,{"b":"}"}]},"pair":"\ud83d\ude00","half":"\ud83d!",)"
                                 R"("zero":"a\u0000b","same":1,"same":2,"yes":true})"),
               folder);
    const auto rows = rowsOf(*source);
    REQUIRE(rows.size() == 1);
    CHECK(
        textOf(source->head(), rows[0]) ==
        "0: big=\"12345678901234567890\", blank=-, deep=\"{\"a\":[1,{\"b\":\"}\"}]}\", "
        "exact=9007199254740992, "
        "half=\"\xef\xbf\xbd!\", huge=\"1e999\", nan=\"NaN\", pad=\"a\", pair=\"\xf0\x9f\x98\x80\", same=2, "
        "tiny=-0, yes=\"true\", zero=\"a\xef\xbf\xbd"
        "b\"; it has no geometry|");
}

TEST_CASE("a number as id is the row's number, a text a column", "[geojson]") {
    const TestFolder folder;
    const auto feature = [](const std::string& id) {
        return R"({"type":"Feature","id":)" + id + R"(,"properties":{"a":1},"geometry":null})";
    };
    const auto numbered = opened(geoJsonOf(feature("70") + "," + feature("71")), folder);
    CHECK(rowsOf(*numbered)[1].number == 71);
    const auto named = opened(geoJsonOf(feature("\"w1\"") + "," + feature("\"w2\"")), folder);
    const auto rows = rowsOf(*named);
    CHECK(rows[1].number == 1);
    CHECK(textOf(named->head(), rows[1]).find("id=\"w2\"") != std::string::npos);
}

TEST_CASE("shapes that are none say why", "[geojson]") {
    const TestFolder folder;
    const std::vector<std::pair<std::string, std::string>> cases{
        {"null", "it has no geometry"},
        {"{}", "its geometry is empty"},
        {R"({"type":"Polygon","coordinates":[]})", "its geometry is empty"},
        {R"({"type":"Polygon","coordinates":[[]]})", "its geometry is empty"},
        {R"({"type":"MultiPolygon","coordinates":[[],[[]]]})", "its geometry is empty"},
        {R"({"type":"Point","coordinates":[]})", "its geometry is empty"},
        {R"({"type":"Point","coordinates":[1,null]})", "one of its coordinates is not a number"},
        {R"({"type":"Point","coordinates":[1,NaN]})", "one of its coordinates is not a number"},
        {R"({"type":"Point","coordinates":[1,-Infinity]})", "one of its coordinates is not a number"},
        {R"({"type":"Point","coordinates":["1","2"]})", "one of its coordinates is not a number"},
        {R"({"type":"Point","coordinates":[1]})", "one of its places has fewer than two coordinates"},
        {R"({"type":"Polygon","coordinates":[[[0,0],[1,1],[0,0]]]})",
         "its outline has fewer than three corners"},
        {R"({"type":"Polygon","coordinates":[[0,0],[1,1],[2,0]]})",
         "its coordinates do not fit the kind of its geometry"},
        {R"({"type":"LineString","coordinates":[[[0,0],[1,1]],[0,0]]})",
         "its coordinates do not fit the kind of its geometry"},
        {R"({"type":"LineString","coordinates":[[0,0]]})", "its line has fewer than two places"},
        {R"({"type":"MultiLineString","coordinates":[[[0,0],[1,1]],[[0,0]]]})",
         "its line has fewer than two places"},
        {R"({"type":"Circle","coordinates":[0,0]})", "its geometry is of a kind that is not read"},
        {R"({"type":"GeometryCollection","geometries":[{"type":"Point","coordinates":[1,2]},)"
         R"({"type":"Point","coordinates":[1]}]})",
         "one of its places has fewer than two coordinates"},
    };
    for (const auto& [geometry, fault] : cases) {
        const auto rows = rowsOf(*opened(featureOf(geometry), folder));
        INFO(geometry);
        REQUIRE(rows.size() == 1);
        CHECK(rows[0].shape.fault == fault);
        CHECK(rows[0].shape.empty());
    }
    CHECK(rowsOf(*opened(geoJsonOf("7," + kJsonPoint + ",{}"), folder))[0].fault == "it is no feature");
}

TEST_CASE("what is no GeoJSON is refused by what it is", "[geojson]") {
    const TestFolder folder;
    const std::vector<std::pair<std::string, std::string>> cases{
        {R"({"type":"Topology","arcs":[],"objects":{}})", "TopoJSON"},
        {R"({"displayFieldName":"","geometryType":"esriGeometryPoint","features":[]})", "map server"},
        {R"({"a":1})", "no GeoJSON"},
        {R"({})", "no GeoJSON"},
        {R"([1,2])", "no GeoJSON"},
        {R"({"type":"FeatureCollection"})", "no list of features"},
        {geoJsonOf(kJsonPoint) + "x", "stands what is none"},
        {geoJsonOf(kJsonPoint + kJsonPoint), "comma is missing"},
        {geoJsonOf(kJsonPoint + ","), "broken after 1 features"},
        {R"({"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2}}]})",
         "comma is missing"},
        {R"({"type":"FeatureCollection","features":[{"type":"Feature","a":"\x"}]})", "escape is broken"},
        {R"({"type":"FeatureCollection","features":[{"type":"Feature","a":tru}]})", "none that JSON knows"},
        {"{\"a\":" + std::string(600, '[') + std::string(600, ']') + "}", "nested too deeply"},
        {featureOf(std::string(R"({"type":"Point","coordinates":)") + std::string(40, '[') +
                   std::string(40, ']') + "}"),
         "nested too deeply"},
    };
    for (const auto& [text, part] : cases) {
        const std::string said = refusal(text, folder);
        INFO(text.substr(0, 200) << ": " << said);
        CHECK(said.find(part) != std::string::npos);
        CHECK(said.back() == '.');
    }
}

TEST_CASE("the system is the one that is named, and none is guessed", "[geojson]") {
    const auto named = [](const std::string& name) {
        return geoJsonSystem(R"({"type":"name","properties":{"name":")" + name + "\"}}");
    };
    CHECK(named("urn:ogc:def:crs:EPSG::25832").epsg == 25832);
    CHECK(named("EPSG:2157").epsg == 2157);
    CHECK(named("http://www.opengis.net/def/crs/EPSG/0/3857").epsg == 3857);
    CHECK(named("urn:ogc:def:crs:OGC:1.3:CRS84").epsg == 4326);
    CHECK(geoJsonSystem(R"({"type":"EPSG","properties":{"code":25832}})").epsg == 25832);
    for (const std::string& text :
         {std::string("null"), std::string("{}"), std::string("7"),
          std::string(R"({"type":"link","properties":{"href":"http://127.0.0.1:9/"}})"),
          std::string(R"({"type":"name","properties":{"name":"site grid"}})"),
          std::string(R"({"type":"name","properties":{"name":"EPSG:999999"}})")}) {
        const FoundSystem none = geoJsonSystem(text);
        CHECK(none.epsg == 0);
        CHECK(none.wkt.empty());
        CHECK(none.notes.size() == 1);
    }
    const TestFolder folder;
    const auto at = [&](const std::string& place) {
        return opened(featureOf(R"({"type":"Point","coordinates":)" + place + "}"), folder)->head();
    };
    CHECK(at("[-6.2,53.3]").epsg == 4326);
    CHECK(at("[53.3,-6.2]").epsg == 4326); // swapped, but degrees
    const SourceHead metres = at("[680000,5910000]");
    CHECK(metres.epsg == 0);
    CHECK(metres.notes.back().find("are no degrees") != std::string::npos);
}

TEST_CASE("reading stops when it is told to", "[geojson]") {
    const TestFolder folder;
    GeoJsonText random(5);
    const auto source = opened(random.collection(50), folder);
    std::stop_source stop;
    int rows = 0;
    const Status read = source->forEachRow({stop.get_token(), {}}, [&](SourceRow&) {
        if (++rows == 10) stop.request_stop();
        return true;
    });
    REQUIRE_FALSE(read.ok());
    CHECK(read.error().code == ErrorCode::cancelled);
    CHECK(rows == 10);
    rows = 0;
    CHECK(source->forEachRow({}, [&](SourceRow&) { return ++rows < 5; }).ok());
    CHECK(rows == 5);
    CHECK_FALSE(openSource(folder / "in.geojson", {}, {stop.get_token(), {}}).ok());
}
