// SPDX-License-Identifier: GPL-3.0-or-later
// Tables against the library's functions, closed forms and numerical integration.
#include "base/random.h"
#include "catch.h"
#include "fringe/model_tables.h"

#include <cmath>

using namespace fw;

namespace {

// Normal distribution by the library's error function (Abramowitz and Stegun 7.1.22).
double phi(double z) { return 0.5 * std::erfc(-z / std::sqrt(2.0)); }
double density(double z) { return std::exp(-z * z / 2) / std::sqrt(2 * M_PI); }

// Efficiency by TR 36.942, Annex A.1 (0.6, -10 dB, 4.4), not below 0.15 (CQI 1).
double efficiency(double sinrDb) {
    const double carried = sinrDb < -10 ? 0 : std::min(4.4, 0.6 * std::log2(1 + std::pow(10, sinrDb / 10)));
    return std::max(0.15, carried);
}

} // namespace

TEST_CASE("Powers and levels are each other's inverse to the rounding of a table") {
    const ModelTables t{ModelSettings{}};
    Random r(1);
    for (int k = 0; k < 20000; ++k) {
        const int centi = -17000 + static_cast<int>(r.below(16001));
        const double exact = std::pow(10, centi / 1000.0) * 1e15; // 1e-15 mW
        // Rounded to a whole unit; the exponential itself is good to 1e-13 of its value.
        CHECK(std::fabs(static_cast<double>(t.power(centi)) - exact) <= 0.5 + exact * 1e-12);
        const auto units = static_cast<std::int64_t>(std::exp(r.between(0, 43)));
        // 1/4096 of an octave's mantissa is 0.0011 dB at most, half a step of rounding twice 0.01 dB.
        CHECK(std::fabs(t.centiOf(units) - 1000 * std::log10(static_cast<double>(units) * 1e-15)) <= 1.2);
    }
    CHECK(t.power(-17001) == 0);
    CHECK(t.centiOf(0) == kNoLevel);
    CHECK(t.centiOf(-5) == kNoLevel);
    // Held so that power times a full sending share (65536) stays below 2^63.
    CHECK(t.power(5000) == t.power(-1000));
    CHECK(static_cast<double>(t.power(5000)) * 65536 < 9.2e18);
}

TEST_CASE("Noise is -174 dBm/Hz over 15 kHz and the noise figure (TR 36.942, table C.1)") {
    ModelSettings s;
    s.noiseFigureDb = 9;
    const ModelTables t{s};
    // -174 + 41.761 + 9 = -123.239 dBm, taken at 0.01 dB: 0.12 % of the power at most.
    CHECK(static_cast<double>(t.noise()) == Approx(std::pow(10, -12.3239) * 1e15).epsilon(0.0013));
}

TEST_CASE("An idle cell sends its floor, a full one everything") {
    CHECK(sendingShare(0, 0.1) == 6554); // 0.1 x 65536 = 6553.6
    CHECK(sendingShare(1, 0.1) == 65536);
    CHECK(sendingShare(0.5, 0.1) == 36045); // 0.55 x 65536 = 36044.8
    CHECK(sendingShare(-1, 0.1) == sendingShare(0, 0.1));
    CHECK(sendingShare(7, 0.1) == 65536);
}

// p = Phi(margin / sigma_d), sigma_d^2 = sigma_m^2 + sigma_c^2 - 2 rho sigma_m sigma_c: the difference of two
// normals with correlation rho. Five Gauss-Hermite points over the macro's part give a smooth Phi to 2e-4
// where that part is small beside the rest, as it is here; chances are whole 2^-15.
TEST_CASE("The chance of capture is that of a difference of two normals") {
    ModelSettings s;
    const double rho = GENERATE(0.0, 0.3, 0.5, 0.8);
    s.shadowCorrelation = rho;
    const ModelTables t{s};
    const double sm = s.macroSigmaDb, sc = s.smallSigmaDb;
    const double sd = std::sqrt(sm * sm + sc * sc - 2 * rho * sm * sc);
    CAPTURE(rho);
    // Ratio of the part that goes with the macro to what is left: the harder the less of it is left.
    const double along = std::fabs(rho * sc - sm) / (sc * std::sqrt(1 - rho * rho));
    const double tolerance = along < 0.6 ? 5e-4 : 5e-3;
    for (int centi = -3000; centi <= 3000; centi += 25) {
        CAPTURE(centi);
        const double db = centi / 100.0;
        CHECK(t.coChannel(centi).p / 32768.0 == Approx(phi(db / sd)).margin(tolerance));
        CHECK(t.ownCarrier(centi).p / 32768.0 == Approx(phi(db / sc)).margin(5e-3));
    }
}

// Given the macro's shadowing x the small cell's is rho sc x / sm plus a normal rest of spread
// sc sqrt(1 - rho^2); captured are those whose rest lies over a bound. Integrated by the midpoint rule over
// 20000 steps of +-9 sigma (error below 1e-6 dB for chances above 1e-6).
TEST_CASE("Means over the captured and those that stay are those of truncated normals") {
    const ModelSettings s;
    const ModelTables t{s};
    const double rho = s.shadowCorrelation, sm = s.macroSigmaDb, sc = s.smallSigmaDb;
    const double rest = sc * std::sqrt(1 - rho * rho);
    for (std::size_t q = 0; q < kPoints; ++q) {
        const double x = t.macroCenti(q) / 100.0 / sm; // in spreads of the macro
        for (int centi : {-1500, -800, -300, 0, 250, 900, 1600}) {
            CAPTURE(q, centi);
            const double bound = -(centi / 100.0 + (rho * sc - sm) * x); // of the rest (dB), co-channel
            double won = 0, mean = 0, square = 0, lost = 0, power = 0;
            const int n = 20000;
            const double step = 18.0 / n;
            for (int k = 0; k < n; ++k) {
                const double z = -9 + (k + 0.5) * step, w = density(z) * step, db = z * rest;
                if (db > bound) {
                    won += w;
                    mean += w * db;
                    square += w * db * db;
                } else {
                    lost += w;
                    power += w * std::pow(10, db / 10);
                }
            }
            const CaptureStep& c = t.coChannel(centi);
            // The bound falls between two steps of 0.0054 dB: with a density of 0.4 a spread that moves a
            // chance by 4e-4.
            CHECK(c.given[q] / 32768.0 == Approx(won).margin(5e-4));
            if (won > 0.01) {
                mean /= won;
                CHECK(c.smallCenti[q] / 100.0 == Approx(rho * sc * x + mean).margin(0.02));
                CHECK(c.spreadCenti[q] / 100.0 == Approx(std::sqrt(square / won - mean * mean)).margin(0.02));
            }
            if (lost > 0.01)
                CHECK(c.stayCenti[q] / 100.0 ==
                      Approx(rho * sc * x + 10 * std::log10(power / lost)).margin(0.03));
        }
    }
}

// What is left of two small cells' shadowing at a fixed one of the macro correlates by (rho - rho^2) /
// (1 - rho^2) = rho / (1 + rho): partial correlation of three normals that all correlate by rho.
TEST_CASE("Two small cells share a point as two correlated normals do") {
    const ModelSettings s;
    const ModelTables t{s};
    const double r = s.shadowCorrelation / (1 + s.shadowCorrelation), rest = 7 * std::sqrt(0.75);
    for (const double a : {-2.0, -0.5, 0.0, 1.0, 3.0})
        for (const double b : {-3.0, -0.5, 0.25, 1.0, 2.0}) {
            CAPTURE(a, b);
            double won = 0, mean = 0;
            const int n = 20000;
            const double step = 18.0 / n;
            for (int k = 0; k < n; ++k) {
                const double x = -9 + (k + 0.5) * step;
                if (x <= -a) continue;
                const double w = density(x) * step * phi((x * (1 - r) + a - b) / std::sqrt(1 - r * r));
                won += w;
                mean += w * x;
            }
            const auto step16 = [](double z) { return static_cast<int>(std::lround((z + 6) * 16)); };
            const Duel& d = t.duel(step16(a), step16(b));
            CHECK(d.win / 32767.0 == Approx(won).margin(4e-4)); // one step of the midpoint rule at the bound
            CHECK(d.centi / 100.0 == Approx(rest * mean / won).margin(0.03));
            // One of the two wins, or the macro keeps the user.
            CHECK(d.win + t.duel(step16(b), step16(a)).win <= 32768);
        }
}

TEST_CASE("Efficiency is attenuated Shannon with a floor, and costs its mean inverse") {
    const ModelSettings s;
    const ModelTables t{s};
    for (int centi = -2500; centi <= 4500; centi += 7) {
        const double db = std::min(40.0, std::max(-20.0, centi / 100.0)), eta = efficiency(db);
        CHECK(t.efficiency(centi) == Approx(eta).epsilon(1e-10));
        CHECK(t.perEfficiency(centi) == Approx(1 / eta).epsilon(1e-10));
        CHECK(t.demandFactor(centi) == Approx(std::pow(eta, s.edgeExponent)).epsilon(1e-10));
    }
    // The mean of 1 / efficiency over a spread of 6 dB, integrated densely. Five points meet the bend at the
    // floor (about -7 dB) with up to 10 % of the value to either side; over the range that evens out.
    double ours = 0, exact = 0;
    for (int centi = -1000; centi <= 2500; centi += 130) {
        double sum = 0;
        const int n = 4000;
        for (int k = 0; k < n; ++k) {
            const double z = -8 + 16.0 * (k + 0.5) / n;
            sum += density(z) * 16 / n / efficiency(centi / 100.0 + 6 * z);
        }
        CAPTURE(centi);
        CHECK(t.meanPerEfficiency(centi) == Approx(sum).epsilon(0.1));
        CHECK(t.costFactor(centi) ==
              Approx(t.demandFactor(centi) * t.meanPerEfficiency(centi)).epsilon(1e-12));
        ours += t.meanPerEfficiency(centi);
        exact += sum;
    }
    CHECK(ours == Approx(exact).epsilon(0.015));
}

TEST_CASE("No shadowing at all leaves numbers, not holes") {
    ModelSettings s;
    s.macroSigmaDb = s.smallSigmaDb = 0;
    s.shadowCorrelation = 1;
    const ModelTables t{s};
    CHECK(t.coChannel(100).p == kChanceOne); // stronger wins
    CHECK(t.coChannel(-100).p == 0);
    CHECK(t.ownCarrier(100).p == kChanceOne);
    CHECK(std::abs(t.coChannel(100).smallCenti[2]) <= 50);
}
