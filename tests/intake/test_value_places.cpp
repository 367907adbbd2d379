// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "intake/value_reader.h"

using namespace fw;

namespace {

Result<double> lat(std::string_view text) { return coordinateFrom(text, {}, Axis::latitude); }
Result<double> lon(std::string_view text) { return coordinateFrom(text, {}, Axis::longitude); }
double degreesOf(const Result<double>& r) {
    INFO((r ? "" : r.error().text));
    REQUIRE(r.ok());
    return *r;
}
constexpr double kDigits = 1e-12; // rounding of two divisions

} // namespace

TEST_CASE("one place in every usual spelling is one place", "[places]") {
    // ISO 6709:2008, annex H, gives the same point in degrees, in degrees and minutes and in all three:
    // 50 deg 40' 46,461" N, 95 deg 48' 26,533" W.
    const double north = 50 + 40 / 60.0 + 46.461 / 3600, west = -(95 + 48 / 60.0 + 26.533 / 3600);
    for (const char* text : {"50\u00b040\u203246,461\u2033N", "50\u00b040'46.461\"N", "50 40 46.461 N",
                             "50:40:46.461", "N50\u00ba40'46.461''", "+50 40 46.461", "50d40m46.461s N",
                             "50-40-46.461 N", "50\u00b0 40' 46.461\u201d n", "50deg 40min 46.461sec N"}) {
        CAPTURE(text);
        CHECK(degreesOf(lat(text)) == Approx(north).margin(kDigits));
    }
    for (const char* text :
         {"95\u00b048\u203226,533\u2033W", "-95:48:26.533", "W 95 48 26.533", "\u221295 48 26.533"}) {
        CAPTURE(text);
        CHECK(degreesOf(lon(text)) == Approx(west).margin(kDigits));
    }
    CHECK(degreesOf(lat("50\u00b040.77435'N")) == Approx(north).margin(kDigits));
    CHECK(degreesOf(lat("50.6795725")) == Approx(north).margin(1e-8)); // seven decimals of a degree
    CHECK(degreesOf(lat("50,6795725")) == Approx(north).margin(1e-8));
}

TEST_CASE("a sign before zero degrees counts, and S after seconds is south", "[places]") {
    CHECK(degreesOf(lon("-0:15:10")) == Approx(-(15 / 60.0 + 10 / 3600.0)).margin(kDigits));
    CHECK(degreesOf(lat("-0.5")) == -0.5);
    CHECK(degreesOf(lat("33\u00b051'31\"S")) == Approx(-(33 + 51 / 60.0 + 31 / 3600.0)).margin(kDigits));
    CHECK(degreesOf(lat("33d51m31s S")) == Approx(-(33 + 51 / 60.0 + 31 / 3600.0)).margin(kDigits));
    CHECK(degreesOf(lat("33.5 S")) == -33.5);
    CHECK(degreesOf(lat("33.5\u00b0S")) == -33.5);
    CHECK(degreesOf(lat("S33.5")) == -33.5);
    CHECK(degreesOf(lon("6.25E")) == 6.25);
}

TEST_CASE("a place that is none is refused", "[places]") {
    for (const char* text :
         {"",        "abc",   "91",    "-90.0001",  "50 60 00 N",  "50 10 60 N",      "50 10 61",
          "6.25 E",  "-50 N", "-50 S", "50.5 10 N", "50 10 10 10", "50 N 10",         "N S 50",
          "5 0 4 0", "50m",   "50''",  "50.1.2",    "nan",         "53.3448, -6.2603"}) {
        CAPTURE(text);
        const auto r = lat(text);
        CHECK_FALSE(r.ok());
        if (!r) CHECK(r.error().text.find('"') == 0);
    }
    CHECK_FALSE(lon("181").ok());
    CHECK_FALSE(lon("10 O").ok());
    CHECK(lon("10 O").error().text.find("east in one language") != std::string::npos);
    CHECK(lat("6.25 E").error().text.find("longitude where a latitude") != std::string::npos);
    CHECK(degreesOf(lat("90")) == 90);
    CHECK(degreesOf(lon("180 W")) == -180);
}
