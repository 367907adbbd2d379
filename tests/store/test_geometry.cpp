// SPDX-License-Identifier: GPL-3.0-or-later
// Byte layouts typed by hand from OGC 12-128r18 (GeoPackage 1.3), 2.1.3.1 and OGC 06-103r4, 8.2.
#include "gpkg/geometry.h"

#include "base/random.h"
#include "catch.h"
#include "support/random_plan.h"

#include <bit>
#include <memory>
#include <ogr_geometry.h>

using namespace fw;
using namespace fw::testing;

namespace {

std::string bytes(std::initializer_list<int> list) {
    std::string s;
    for (const int b : list) s += static_cast<char>(b);
    return s;
}

// IEEE 754: 1.0 is 3ff0..., 2.0 is 4000..., 3.0 is 4008...
const std::string one = bytes({0, 0, 0, 0, 0, 0, 0xf0, 0x3f}), two = bytes({0, 0, 0, 0, 0, 0, 0, 0x40});
const std::string oneBig = bytes({0x3f, 0xf0, 0, 0, 0, 0, 0, 0}), twoBig = bytes({0x40, 0, 0, 0, 0, 0, 0, 0});
const std::string head = bytes({'G', 'P', 0, 1, 0x73, 0x7f, 0, 0}); // SRS 32627 = 0x7f73, little-endian

} // namespace

TEST_CASE("a point has the standard's bytes") {
    const std::string expected = head + bytes({1, 1, 0, 0, 0}) + one + two;
    CHECK(geometryBytes(PlanePoint{1, 2}, 32627) == expected);
    CHECK(pointFrom(expected) == PlanePoint{1, 2});
    CHECK(srsIdFrom(expected) == 32627);
}

TEST_CASE("a big-endian point and one in a header with bounds are read, too") {
    const std::string big = bytes({'G', 'P', 0, 0, 0, 0, 0x7f, 0x73, 0, 0, 0, 0, 1}) + oneBig + twoBig;
    CHECK(pointFrom(big) == PlanePoint{1, 2});
    CHECK(srsIdFrom(big) == 32627);
    const std::string bounded = bytes({'G', 'P', 0, 3, 0x73, 0x7f, 0, 0}) + one + one + two + two +
                                bytes({1, 1, 0, 0, 0}) + one + two;
    CHECK(pointFrom(bounded) == PlanePoint{1, 2});
}

TEST_CASE("other geometries than the wanted one give nothing") {
    const std::string good = geometryBytes(PlanePoint{1, 2}, 32627);
    CHECK_FALSE(lineFrom(good));
    CHECK_FALSE(polygonFrom(good));
    CHECK_FALSE(pointFrom(good + "x"));
    CHECK_FALSE(pointFrom(""));
    for (std::size_t n = 0; n < good.size(); ++n) CHECK_FALSE(pointFrom(std::string_view(good).substr(0, n)));
    CHECK_FALSE(pointFrom(head + bytes({1, 0xe9, 3, 0, 0}) + one + two + one)); // 1001: point with Z
    CHECK_FALSE(pointFrom(bytes({'G', 'P', 0, 0x11, 0x73, 0x7f, 0, 0, 1, 1, 0, 0, 0}) + one +
                          two)); // marked as empty
    CHECK_FALSE(pointFrom(bytes({'G', 'P', 1, 1, 0x73, 0x7f, 0, 0, 1, 1, 0, 0, 0}) + one +
                          two)); // header of another version
    // A count of four thousand million points with two of them there.
    CHECK_FALSE(lineFrom(head + bytes({1, 2, 0, 0, 0, 0xff, 0xff, 0xff, 0xff}) + one + two + one + two));
    // A ring of four whose last corner is not its first.
    CHECK_FALSE(polygonFrom(head + bytes({1, 3, 0, 0, 0, 1, 0, 0, 0, 4, 0, 0, 0}) + one + two + two + two +
                            one + one + two + one));
}

TEST_CASE("GDAL reads the same shapes out of the well-known binary") {
    Random random(14);
    for (int k = 0; k < 200; ++k) {
        Building b = randomBuilding({1}, {random.between(4e5, 6e5), random.between(0, 9e6)}, random);
        b.footprint.holes.push_back({{1, 1}, {1, 2}, {2, 1}});
        const std::string blob = geometryBytes(b.footprint, 32627);
        CHECK(polygonFrom(blob) == b.footprint);
        // With bounds in x and y the header is 8 + 32 bytes.
        OGRGeometry* raw = nullptr;
        REQUIRE(OGRGeometryFactory::createFromWkb(blob.data() + 40, nullptr, &raw, blob.size() - 40) ==
                OGRERR_NONE);
        const std::unique_ptr<OGRGeometry> geometry(raw);
        const OGRPolygon* p = geometry->toPolygon();
        REQUIRE(p->getExteriorRing()->getNumPoints() == static_cast<int>(b.footprint.outer.size()) + 1);
        for (int c = 0; c < static_cast<int>(b.footprint.outer.size()); ++c) {
            CHECK(p->getExteriorRing()->getX(c) == b.footprint.outer[static_cast<std::size_t>(c)].x);
            CHECK(p->getExteriorRing()->getY(c) == b.footprint.outer[static_cast<std::size_t>(c)].y);
        }
        CHECK(p->getNumInteriorRings() == static_cast<int>(b.footprint.holes.size()));
        const Line line(b.footprint.outer);
        const std::string lineBlob = geometryBytes(line, -1);
        CHECK(lineFrom(lineBlob) == line);
        REQUIRE(OGRGeometryFactory::createFromWkb(lineBlob.data() + 40, nullptr, &raw,
                                                  lineBlob.size() - 40) == OGRERR_NONE);
        const std::unique_ptr<OGRGeometry> read(raw);
        // Sums of square roots over few segments, in another order at most: a few units of the last place.
        CHECK(read->toLineString()->get_Length() == Approx(lengthOf(line)).epsilon(1e-12));
    }
}

TEST_CASE("minus zero is written as zero, so that equal plans have equal bytes") {
    CHECK(geometryBytes(PlanePoint{-0.0, 1}, 0) == geometryBytes(PlanePoint{0.0, 1}, 0));
}
