// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "geo/declination.h"
#include "geo/geodesy.h"
#include "reference_cases.h"
#include "support/places.h"

using namespace fw;

namespace {

const std::filesystem::path kDirectory = fw::testing::sourceFile("resources/magnetic");

MagneticField field() {
    auto f = MagneticField::load(kDirectory);
    if (!f) throw std::runtime_error(f.error().sentence());
    return *f;
}

} // namespace

TEST_CASE("Declination meets the World Magnetic Model's own test values", "[declination]") {
    const MagneticField f = field();
    for (const auto& c : fwtest::referenceCases("declination.txt", "WMM-")) {
        const auto d = f.declinationDeg({c.number("lat_deg"), c.number("lon_deg")},
                                        HeightAmsl{c.number("alt_km") * 1000}, c.number("year"));
        INFO(c.where << " " << c.id);
        REQUIRE(d);
        INFO("got " << *d << ", expected " << c.expected());
        CHECK(c.met(*d));
    }
}

TEST_CASE("Years outside the model are refused, not answered", "[declination]") {
    const MagneticField f = field();
    CHECK(f.firstYear() == 2025);
    CHECK(f.lastYear() == 2030);
    CHECK(f.name() == "World Magnetic Model 2025");
    const GeoPoint at{36.9, -20.4};
    CHECK(f.declinationDeg(at, HeightAmsl{0}, 2025.0));
    CHECK(f.declinationDeg(at, HeightAmsl{0}, 2030.0));
    CHECK(f.declinationDeg(at, HeightAmsl{0}, Date{2029, 12, 31}));
    for (const double year : {2024.99, 2030.01, 1990.0, double(NAN)}) {
        const auto d = f.declinationDeg(at, HeightAmsl{0}, year);
        REQUIRE_FALSE(d);
        CHECK(d.error().text.find("2025 to 2030") != std::string::npos);
    }
    CHECK_FALSE(f.declinationDeg(at, HeightAmsl{0}, Date{2024, 12, 31}));
    CHECK_FALSE(f.declinationDeg({91, 0}, HeightAmsl{0}, 2026.0));
    CHECK_FALSE(f.declinationDeg({0, NAN}, HeightAmsl{0}, 2026.0));
}

TEST_CASE("A missing model is named with its place", "[declination]") {
    const auto f = MagneticField::load("/nowhere/magnetic");
    REQUIRE_FALSE(f);
    CHECK(f.error().code == ErrorCode::cannotRead);
    CHECK(f.error().sentence().find("/nowhere/magnetic") != std::string::npos);
}

TEST_CASE("A compass east of true north reads less", "[declination]") {
    CHECK(toMagnetic(TrueAzimuth{10}, 4).deg == Approx(6));
    CHECK(toMagnetic(TrueAzimuth{2}, 5).deg == Approx(357));
    CHECK(toMagnetic(TrueAzimuth{350}, -20).deg == Approx(10));
}

TEST_CASE("Dates are read strictly and count leap years", "[date]") {
    const auto d = Date::parse("2026-05-31");
    REQUIRE(d);
    CHECK(*d == Date{2026, 5, 31});
    CHECK(d->iso() == "2026-05-31");
    CHECK(Date{2025, 1, 1}.decimalYear() == 2025.0);
    CHECK(Date{2025, 7, 2}.decimalYear() == Approx(2025 + 182.0 / 365).margin(1e-12));
    CHECK(Date{2028, 12, 31}.decimalYear() == Approx(2028 + 365.0 / 366).margin(1e-12));
    CHECK(Date::parse("2028-02-29"));
    for (const char* bad : {"2026-02-29", "2026-13-01", "2026-00-10", "2026-4-01", "26-04-01", "2026-04-31",
                            "2026/04/30", "+026-04-30", " 2026-04-3", "2026-04-30 ", "", "today"}) {
        INFO(bad);
        CHECK_FALSE(Date::parse(bad));
    }
}

TEST_CASE("A geodesic known from publication", "[geodesy]") {
    // C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013), Table 2: start 40 N, azimuth 30 deg,
    // 10,000 km on WGS 84 ends at 41.79331020506 N, 137.84490004377 E. Digits as printed, so 1e-10 deg.
    const GeoPoint end = geodesicEnd({40, 0}, TrueAzimuth{30}, 1e7);
    CHECK(end.latDeg == Approx(41.79331020506).margin(1e-10).epsilon(0));
    CHECK(end.lonDeg == Approx(137.84490004377).margin(1e-10).epsilon(0));
    const GeodesicLine line = geodesic({40, 0}, end);
    CHECK(line.distanceM == Approx(1e7).margin(1e-5).epsilon(0));
    CHECK(line.azimuth.deg == Approx(30).margin(1e-9));
    CHECK(geodesic({0, 0}, {0, -1}).azimuth.deg == Approx(270).margin(1e-12));
    CHECK(geodesic({5, 6}, {5, 6}).distanceM == 0);
}
