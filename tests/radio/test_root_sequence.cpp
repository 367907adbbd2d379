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

TEST_CASE("Short preambles have the shifts, roots and radii of their tables") {
    int shifts = 0, radii = 0;
    for (const auto& c : fwtest::referenceCases("random_access.txt", "SHORT-NCS-")) {
        INFO(c.id);
        CHECK(shortZeroCorrelation(static_cast<int>(c.number("configuration"))).shift == c.expected());
        ++shifts;
    }
    CHECK(shifts == 16);
    for (const auto& c : fwtest::referenceCases("random_access.txt", "SHORT-ROOTS-")) {
        INFO(c.id);
        CHECK(shortZeroCorrelation(static_cast<int>(c.number("configuration"))).roots == c.expected());
    }
    for (const auto& c : fwtest::referenceCases("random_access.txt", "SHORT-RADIUS-")) {
        INFO(c.id);
        CHECK(c.met(radiusOfFormat(static_cast<PreambleFormat>(static_cast<int>(c.number("format"))),
                                   static_cast<int>(c.number("scs")), c.number("spread_us"))));
        ++radii;
    }
    CHECK(radii == 8);
}

TEST_CASE("A short shift is the smallest that holds the cell, and its roots hold 64 preambles") {
    for (const int scs : {15, 30, 60, 120}) {
        const double spread = shortSpreadUs(scs);
        CHECK(spread == Approx(144 / 30.72 * 15 / scs));
        for (int m = 0; m <= 6000; m += 50) {
            const auto z = shortZeroCorrelationFor(m / 1000.0, scs, spread);
            // Samples of the round trip at 299.792 m/us, with half a per cent of room for 20/3.
            const double trip = (2 * m / 299.792458 + spread) * 139 * scs / 1000 + 1;
            INFO(scs << " kHz, " << m << " m: " << trip << " samples");
            if (!z) {
                CHECK(trip > 138);
                continue;
            }
            CHECK(z->length == 139);
            if (z->shift == 0) {
                CHECK(trip > 68.5);
                CHECK(z->roots == 64);
                continue;
            }
            CHECK(z->shift > trip - 0.5);
            if (z->configuration > 1) CHECK(shortZeroCorrelation(z->configuration - 1).shift < trip + 0.5);
            CHECK((139 / z->shift) * z->roots >= 64);
            CHECK((139 / z->shift) * (z->roots - 1) < 64);
        }
    }
    CHECK_FALSE(shortZeroCorrelationFor(0.3, 0, 1));
    CHECK(shortFormatFor(0.3, 30) == PreambleFormat::a1); // prefix 4.69 us, of it 2.34 for the spread: 351 m
    CHECK(shortFormatFor(0.4, 30) == PreambleFormat::a2);
    CHECK(shortFormatFor(3, 30) == PreambleFormat::c2);
    CHECK(rootsMeet(137, 2, 0, 1, kShortRoots));
    CHECK_FALSE(rootsMeet(137, 2, 0, 1));
}

TEST_CASE("Preamble formats are read as they are written") {
    for (int k = 0; k < 10; ++k) {
        const auto f = static_cast<PreambleFormat>(k);
        CHECK(preambleFormat(wordFor(f)) == f);
    }
    CHECK(preambleFormat("b4") == PreambleFormat::b4);
    for (const char* wrong : {"", "A4", "A", "A11", "C1", "1"}) CHECK_FALSE(preambleFormat(wrong));
}
