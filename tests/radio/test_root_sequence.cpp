// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "radio/root_sequence.h"
#include "reference_cases.h"

#include <limits>

using namespace fw;

TEST_CASE("Cyclic shifts and roots are those of the standards' tables") {
    int seen = 0;
    for (const auto& c : fwtest::referenceCases("random_access.txt", "NCS-")) {
        INFO(c.id);
        CHECK(zeroCorrelation(static_cast<int>(c.number("configuration"))).shift == c.expected());
        ++seen;
    }
    CHECK(seen == 16);
    for (const auto& c : fwtest::referenceCases("random_access.txt", "ROOTS-")) {
        INFO(c.id);
        CHECK(zeroCorrelation(static_cast<int>(c.number("configuration"))).roots == c.expected());
    }
    for (const auto& c : fwtest::referenceCases("random_access.txt", "RADIUS-")) {
        INFO(c.id);
        CHECK(c.met(radiusOfShift(static_cast<int>(c.number("shift")), c.number("spread_us"))));
    }
}

TEST_CASE("The shift of a cell is the smallest that holds its radius") {
    for (int c = 1; c <= 15; ++c) {
        const ZeroCorrelation z = zeroCorrelation(c);
        const double holdsKm = radiusOfShift(z.shift);
        INFO("configuration " << c << " holds " << holdsKm << " km");
        CHECK(zeroCorrelationFor(holdsKm - 0.001) == z);
        const auto wider = zeroCorrelationFor(holdsKm + 0.001);
        REQUIRE(wider);
        CHECK(wider->configuration == (c + 1) % 16);
        // 64 preambles and no root too many.
        CHECK((839 / z.shift) * z.roots >= 64);
        CHECK((839 / z.shift) * (z.roots - 1) < 64);
    }
    // A small cell of 300 m, a macro of 3 km.
    CHECK(zeroCorrelationFor(0.3)->configuration == 1);
    CHECK(zeroCorrelationFor(3)->shift == 32);
}

TEST_CASE("A radius that no root holds, or that is none, gives no shift") {
    CHECK(zeroCorrelationFor(100)->configuration == 0);
    CHECK_FALSE(zeroCorrelationFor(130));
    CHECK_FALSE(zeroCorrelationFor(-1));
    CHECK_FALSE(zeroCorrelationFor(std::numeric_limits<double>::quiet_NaN()));
    CHECK_FALSE(zeroCorrelationFor(1, std::numeric_limits<double>::infinity()));
    CHECK_FALSE(zeroCorrelationFor(1, 5, -1));
    CHECK(radiusOfShift(3) == 0);
}
