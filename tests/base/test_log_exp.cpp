// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/log_exp.h"
#include "base/random.h"
#include "catch.h"

#include <cmath>

using namespace fw;

// Outside value: the C library's functions, whose error is below one unit in the last place (glibc manual,
// "Errors in Math Functions").
TEST_CASE("own log and exp agree with the library's", "[base]") {
    Random r(7);
    for (int k = 0; k < 200000; ++k) {
        const double x = std::exp(r.between(-60, 60));
        REQUIRE(std::fabs(log2Fixed(x) - std::log2(x)) < 2e-13); // |log2| reaches 87: eight ulps of that
        const double e = r.between(-200, 200);
        REQUIRE(std::fabs(exp2Fixed(e) / std::exp2(e) - 1) < 1e-14);
    }
    CHECK(log2Fixed(1) == 0);
    CHECK(log2Fixed(8) == 3);
    CHECK(exp2Fixed(-3) == 0.125);
    CHECK(decibels(100) == Approx(20).epsilon(1e-14));
}

TEST_CASE("own arc tangent, sine and cosine agree with the library's", "[base]") {
    Random r(8);
    for (int k = 0; k < 200000; ++k) {
        const double y = r.between(-3, 3), x = r.between(-3, 3);
        REQUIRE(std::fabs(atan2DegFixed(y, x) - std::atan2(y, x) * 180 / M_PI) < 1e-10);
        const double a = r.between(-720, 720);
        const auto sc = sinCosDegFixed(a);
        REQUIRE(std::fabs(sc.sin - std::sin(a * M_PI / 180)) < 2e-15 * 4);
        REQUIRE(std::fabs(sc.cos - std::cos(a * M_PI / 180)) < 2e-15 * 4);
    }
    CHECK(atan2DegFixed(0, 0) == 0);
    CHECK(atan2DegFixed(0, -1) == Approx(180));
    CHECK(atan2DegFixed(-1, 0) == Approx(-90));
}

TEST_CASE("own normal distribution agrees with erfc", "[base]") {
    for (double z = -12; z <= 9; z += 0.013) {
        const double want = 0.5 * std::erfc(-z / std::sqrt(2.0));
        REQUIRE(std::fabs(normalCdfFixed(z) - want) < 1e-9);
    }
    // Abramowitz and Stegun, Handbook of Mathematical Functions, table 26.1: P(1.96) = 0.97500 21049
    CHECK(normalCdfFixed(1.96) == Approx(0.9750021049).margin(5e-11));
}
