// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/random.h"
#include "calibration/robust_fit.h"
#include "catch.h"

#include <cmath>
#include <numeric>

using namespace fw;

namespace {

std::vector<std::uint32_t> apart(std::size_t n) {
    std::vector<std::uint32_t> out(n);
    std::iota(out.begin(), out.end(), 0u);
    return out;
}
RobustFit meanOf(const std::vector<double>& y) {
    return robustFit(std::vector<FitRow>(y.size(), FitRow{1, 0, 0}), y, apart(y.size()), 1);
}
double density(double x) { return std::exp(-x * x / 2) / std::sqrt(2 * M_PI); }
double below(double x) { return 0.5 * std::erfc(-x / std::sqrt(2.0)); }

} // namespace

TEST_CASE("the tuning constants keep 95 % of the efficiency at normal errors", "[calibration]") {
    // Asymptotic efficiency of an M-estimate is E(psi')^2 / E(psi^2) (Huber and Ronchetti 2009, eq. 3.13 and
    // 4.5). For Huber's psi both are closed; for the biweight they are summed here.
    const double k = kHuberTuning, inner = 2 * below(k) - 1;
    const double huber = inner * inner / (inner - 2 * k * density(k) + 2 * k * k * (1 - below(k)));
    CHECK(huber == Approx(0.95).margin(0.0005));
    double slope = 0, square = 0;
    const double c = kBiweightTuning, step = 1e-4;
    for (double x = -c + step / 2; x < c; x += step) {
        const double t2 = x * x / (c * c), psi = x * (1 - t2) * (1 - t2);
        slope += (1 - t2) * (1 - 5 * t2) * density(x) * step;
        square += psi * psi * density(x) * step;
    }
    CHECK(slope * slope / square == Approx(0.95).margin(0.0005));
    // The upper quartile of the normal distribution.
    CHECK(below(1 / kMadToSigma) == Approx(0.75).margin(1e-12));
}

TEST_CASE("four values worked by hand: the outlier has no say at all", "[calibration]") {
    // y = -1, 0, 1, 50. Huber: -1, 0 and 1 count fully and 50 counts k s, so a = k s / 3 with
    // s = 1.4826 (a + 1/2), the median of |y - a| lying between 1 + a and a: a = 0.9912, s = 2.2109.
    // Biweight with that s: 50 is beyond 4.685 s, the rest is symmetric: 0.
    const RobustFit fit = meanOf({-1, 0, 1, 50});
    REQUIRE(fit.ok);
    CHECK(fit.value[0] == Approx(0).margin(1e-9));
    CHECK(fit.scale == Approx(2.2109).margin(0.001)); // 25 rounds that shrink by 0.66 each
    CHECK(fit.weights[3] == 0);
    // t = 1 / (4.685 s) = 0.09654, w = (1 - t^2)^2 = 0.98144, slopes 0.94451, 1, 0.94451, 0: sum 2.88902.
    // Variance = 4/3 x 2 w^2 / 2.88902^2 = 0.30775.
    CHECK(fit.error[0] == Approx(0.55475).margin(0.0005));
}

TEST_CASE("exact rows give exact coefficients; rows that tell nothing apart are refused", "[calibration]") {
    std::vector<FitRow> rows;
    std::vector<double> y;
    for (int k = 0; k < 20; ++k) {
        rows.push_back({1, k * 0.1, k % 3 * 1.0});
        y.push_back(2 - 3 * (k * 0.1) + 0.5 * (k % 3));
    }
    y[7] += 40; // a blunder
    const RobustFit fit = robustFit(rows, y, apart(20), 3);
    REQUIRE(fit.ok);
    CHECK(fit.value[0] == Approx(2).margin(1e-6));
    CHECK(fit.value[1] == Approx(-3).margin(1e-6));
    CHECK(fit.value[2] == Approx(0.5).margin(1e-6));
    CHECK_FALSE(
        robustFit(std::vector<FitRow>(9, FitRow{1, 2, 0}), std::vector<double>(9, 1), apart(9), 2).ok);
    CHECK_FALSE(meanOf({3}).ok);
    CHECK_FALSE(meanOf({}).ok);
}

TEST_CASE("standard errors tell the spread of the estimates, also where a square errs together",
          "[calibration]") {
    for (const bool together : {false, true}) {
        Random random(together ? 11 : 12);
        const int runs = 400, squares = 40, each = 6;
        double sum = 0, square = 0, told = 0;
        for (int run = 0; run < runs; ++run) {
            std::vector<double> y;
            std::vector<std::uint32_t> clusters;
            for (int s = 0; s < squares; ++s) {
                const double common = together ? 5 * random.normal() : 0;
                for (int k = 0; k < each; ++k) {
                    y.push_back(3 + common + 4 * random.normal());
                    if (random.chance(0.05)) y.back() += 40;
                    clusters.push_back(static_cast<std::uint32_t>(s));
                }
            }
            const RobustFit fit = robustFit(std::vector<FitRow>(y.size(), FitRow{1, 0, 0}), y, clusters, 1);
            sum += fit.value[0];
            square += fit.value[0] * fit.value[0];
            told += fit.error[0];
        }
        const double mean = sum / runs, spread = std::sqrt(square / runs - mean * mean);
        INFO((together ? "together" : "alone")
             << ": mean " << mean << ", spread " << spread << ", told " << told / runs);
        // 400 runs know their mean to spread / 20; five of these. The scale of the blunders leaves no bias.
        CHECK(mean == Approx(3).margin(spread / 4));
        // A spread from 400 runs errs by 1 / sqrt(800) = 3.5 %; 40 squares bias the sandwich by some percent.
        CHECK(told / runs == Approx(spread).epsilon(0.15));
    }
}
