// SPDX-License-Identifier: GPL-3.0-or-later
// Shadowing as a field, held against the published form of its correlation: exp(-d / distance) (Gudmundson,
// Electronics Letters 27, 1991; 3GPP TR 38.901, 7.4.4). Tolerances are four standard errors of the estimate.
#include "catch.h"
#include "fringe/shadow_field.h"

#include <cmath>

using namespace fw;

namespace {

constexpr PlanePoint kCorner{499712, 4083712};

// Mean product of the values at p and p + step, over fields and over places far apart in each.
struct Estimate {
    double product = 0, squares = 0, mean = 0, fourth = 0;
    int count = 0;
};
Estimate estimate(double distanceM, PlanePoint step, int fields) {
    Estimate e;
    const Box over{kCorner.x - 200, kCorner.y - 200, kCorner.x + 3200, kCorner.y + 3200};
    for (int n = 0; n < fields; ++n) {
        const ShadowField f(mixed(77, static_cast<std::uint64_t>(n)), distanceM, over);
        for (int k = 0; k < 36; ++k) {
            const PlanePoint p = kCorner + PlanePoint{500.0 * (k % 6) + 0.37, 500.0 * (k / 6) + 0.11};
            const double a = f.at(p), b = f.at(p + step);
            e.product += a * b;
            e.squares += a * a;
            e.fourth += a * a * a * a;
            e.mean += a;
            ++e.count;
        }
    }
    for (double* v : {&e.product, &e.squares, &e.mean, &e.fourth}) *v /= e.count;
    return e;
}

} // namespace

TEST_CASE("shadowing falls off with distance as the standard has it, in every direction", "[slow]") {
    const double distance = GENERATE(13.0, 50.0);
    const double apart = GENERATE(0.2, 0.5, 1.0, 2.0, 3.0);
    for (const double deg : {0.0, 30.0, 45.0, 90.0, 160.0}) {
        const double rad = deg * 3.14159265358979323846 / 180;
        const double m = apart * distance;
        const Estimate e = estimate(distance, {m * std::sin(rad), m * std::cos(rad)}, 400);
        INFO("distance " << distance << " m, " << m << " m apart towards " << deg);
        // Whole metres of the lines' places and the turn's part of the form: 0.015 and 0.01.
        CHECK(e.product == Approx(std::exp(-apart)).margin(4 / std::sqrt(e.count) + 0.025));
    }
}

TEST_CASE("shadowing is normal at a place: mean 0, spread 1, tails as they should be", "[slow]") {
    const Estimate e = estimate(20, {7, 0}, 600);
    const double n = e.count;
    CHECK(std::fabs(e.mean) < 5 / std::sqrt(n));
    CHECK(e.squares == Approx(1).margin(5 * std::sqrt(2 / n)));
    CHECK(e.fourth == Approx(3).margin(5 * std::sqrt(96 / n) + 0.02)); // 1024 pieces end at 3.3 spreads each
}

TEST_CASE("shadowing at a place is the same whatever is asked for beside it") {
    const Box wide{kCorner.x - 700, kCorner.y - 900, kCorner.x + 2000, kCorner.y + 1500};
    const Box narrow{kCorner.x, kCorner.y, kCorner.x + 400, kCorner.y + 300};
    int same = 0, all = 0;
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const ShadowField a(seed, 13, wide), b(seed, 13, narrow);
        for (double x = 2; x < 400; x += 19)
            for (double y = 2; y < 300; y += 23, ++all)
                same += a.at(kCorner + PlanePoint{x, y}) == b.at(kCorner + PlanePoint{x, y});
    }
    CHECK(same > all * 0.995); // offsets are floats: a place on a line may fall to either side of it
    const ShadowField first(1, 13, narrow), again(1, 13, narrow), other(2, 13, narrow);
    CHECK(first.at(kCorner + PlanePoint{50, 60}) == again.at(kCorner + PlanePoint{50, 60}));
    CHECK(first.at(kCorner + PlanePoint{50, 60}) != other.at(kCorner + PlanePoint{50, 60}));
}

TEST_CASE("fields of two seeds have nothing to do with each other", "[slow]") {
    const Box over{kCorner.x, kCorner.y, kCorner.x + 3000, kCorner.y + 3000};
    double product = 0;
    int count = 0;
    for (std::uint64_t n = 0; n < 300; ++n) {
        const ShadowField a(mixed(1, n, 5), 50, over), b(mixed(1, n, 6), 50, over);
        for (int k = 0; k < 36; ++k, ++count) {
            const PlanePoint p = kCorner + PlanePoint{500.0 * (k % 6) + 1, 500.0 * (k / 6) + 1};
            product += a.at(p) * b.at(p);
        }
    }
    CHECK(std::fabs(product / count) < 4 / std::sqrt(count));
}

TEST_CASE("normal values of numbers are normal and do not depend on each other") {
    double sum = 0, squares = 0, next = 0, before = 0;
    const int n = 200000;
    for (int k = 0; k < n; ++k) {
        const double v = normalOf(static_cast<std::uint64_t>(k));
        sum += v;
        squares += v * v;
        next += v * before;
        before = v;
    }
    CHECK(std::fabs(sum / n) < 4 / std::sqrt(n));
    CHECK(squares / n == Approx(1).margin(4 * std::sqrt(2.0 / n)));
    CHECK(std::fabs(next / n) < 4 / std::sqrt(n));
}
