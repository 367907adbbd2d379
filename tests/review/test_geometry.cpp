// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "review/geometry.h"

#include <array>
#include <cmath>
#include <vector>

using namespace fw;

TEST_CASE("The angle off a boresight is the short way round, over north too", "[review]") {
    CHECK(offBoresightDeg({350}, {10}) == Approx(20));
    CHECK(offBoresightDeg({10}, {350}) == Approx(20));
    CHECK(offBoresightDeg({0}, {180}) == Approx(180));
    CHECK(inBeam({358}, {30.5}, 32.5));
    CHECK_FALSE(inBeam({358}, {30.51}, 32.5));
    CHECK(inBeam({2}, {329.5}, 32.5));
    CHECK_FALSE(inBeam({2}, {329.49}, 32.5));
}

// Published worked example of a sky view factor from twelve horizon angles, 30 deg apart: 0.7746201. The
// example belongs to a public climatology package; its figure is the solid-angle form, 1 - mean(sin h).
TEST_CASE("Sky share by solid angle agrees with a published example", "[review]") {
    const std::array<double, 12> h{7.9, 17.5, 3.8, 7.8, 10.9, 20.1, 23.8, 13.7, 7.0, 7.4, 21.2, 16.2};
    CHECK(1 - blockedSkyShare(h, 0) == Approx(0.7746201).margin(1e-6)); // as many digits as it prints
}

// A street: walls of constant elevation atan(4/7) over 120 deg to each side. By hand: sin(atan(4/7)) =
// 4 / sqrt(65); open share 1 - (240/360) * 4 / sqrt(65) = 0.6692.
TEST_CASE("Sky share of a simple street canyon", "[review]") {
    std::vector<double> h(360, 0.0);
    const double wall = std::atan(4.0 / 7.0) * 180 / M_PI;
    for (int k = 30; k < 150; ++k)
        h[static_cast<std::size_t>(k)] = h[static_cast<std::size_t>(k + 180)] = wall;
    CHECK(1 - blockedSkyShare(h, 0) == Approx(0.6692).margin(5e-5));
}

TEST_CASE("Below the mask nothing hides; all hidden is one; more mask never hides more of what stands low",
          "[review]") {
    std::vector<double> low(720, 9.99), high(720, 90.0);
    CHECK(blockedSkyShare(low, 10) == 0);
    CHECK(blockedSkyShare(high, 10) == Approx(1).margin(1e-12));
    CHECK(blockedSkyShare(std::vector<double>{}, 10) == 0);
    // By hand: half of the bearings at 30 deg, mask 10 deg: (sin 30 - sin 10) / (1 - sin 10) / 2 = 0.197465.
    std::vector<double> half(720, -5.0);
    for (std::size_t k = 0; k < 360; ++k) half[k] = 30;
    CHECK(blockedSkyShare(half, 10) == Approx(0.197465).margin(1e-6));
}

TEST_CASE("The widest blocked run is seen over north", "[review]") {
    Skyline s;
    CHECK(widestBlockedRunDeg(s, 10) == 0);
    for (const int k : {718, 719, 0, 1, 2}) s.bearing[static_cast<std::size_t>(k)].elevationDeg = 11;
    for (const int k : {300, 301, 302}) s.bearing[static_cast<std::size_t>(k)].elevationDeg = 40;
    CHECK(widestBlockedRunDeg(s, 10) == 2.5);
    CHECK(widestBlockedRunDeg(s, 11) == 1.5);
    for (auto& b : s.bearing) b.elevationDeg = 20;
    CHECK(widestBlockedRunDeg(s, 10) == 360);
}

// By hand: the pattern 10^(-1.2 (phi/65)^2) over +-32.5 deg. Its integral is sqrt(pi)/(2 a) erf(a 32.5) with
// a = sqrt(1.2 ln 10)/65, so the share nearer than phi is erf(a phi)/erf(a 32.5).
TEST_CASE("The beam's blocked share is weighted with its pattern", "[review]") {
    Skyline s;
    CHECK(beamBlockedShare(s, {0}, 65, 15) == 0);
    for (int k = -20; k <= 20; ++k) s.bearing[static_cast<std::size_t>((k + 720) % 720)].solidM = 14.9f;
    const double a = std::sqrt(1.2 * std::log(10.0)) / 65;
    const double want = std::erf(a * 10.25) / std::erf(a * 32.5); // 41 bearings of half a degree
    CHECK(beamBlockedShare(s, {0}, 65, 15) ==
          Approx(want).margin(0.01)); // bearings stand half a degree apart
    CHECK(beamBlockedShare(s, {0}, 65, 14.5) == 0);
    CHECK(beamBlockedShare(s, {180}, 65, 15) == 0);
    for (auto& b : s.bearing) b.solidM = 5;
    CHECK(beamBlockedShare(s, {123.4}, 65, 15) == Approx(1).margin(1e-12));
}
