// SPDX-License-Identifier: GPL-3.0-or-later
// What must hold for the path-loss models besides their published values, which tests/calc runs from
// tests/reference.
#include "base/log_exp.h"
#include "base/random.h"
#include "catch.h"
#include "radio/building_entry.h"
#include "radio/compose.h"
#include "radio/free_space.h"
#include "radio/knife_edge.h"
#include "radio/street_microcell.h"
#include "radio/urban_macro.h"
#include "radio/urban_micro.h"

#include <cmath>
#include <limits>

using namespace fw;

TEST_CASE("free space: ten times the distance loses 20 dB more, and the band's constant is P.525's",
          "[radio]") {
    CHECK(freeSpaceLoss(1000, megahertz(1)).v ==
          Approx(32.44778).margin(5e-6)); // P.525-5 eq. (4), worked with exact c
    CHECK(freeSpaceLoss(1000, megahertz(2600)).v - freeSpaceLoss(100, megahertz(2600)).v ==
          Approx(20).margin(1e-9));
    CHECK(freeSpaceReceived({30}, {5}, {2}, 100, megahertz(2600)).v ==
          Approx(37 - freeSpaceLoss(100, megahertz(2600)).v).margin(1e-12));
}

TEST_CASE("knife edge: the approximation keeps its stated error against the Fresnel integrals", "[radio]") {
    double worst = 0;
    for (double nu = -0.779; nu <= 10; nu += 0.01)
        worst = std::max(worst, std::fabs(knifeEdgeLoss(nu).v - knifeEdgeLossExact(nu).v));
    INFO("worst " << worst);
    CHECK(worst <
          0.27); // the header states it; the greatest difference is where the approximation is cut off
    CHECK(std::isnan(knifeEdgeLoss(std::numeric_limits<double>::quiet_NaN()).v));
    CHECK(std::isnan(knifeEdgeLossExact(std::numeric_limits<double>::infinity()).v));
    // At grazing half the field arrives: 20 log10 2 (textbook).
    CHECK(knifeEdgeLossExact(0).v == Approx(20 * std::log10(2.0)).margin(1e-9));
    // Worked from the power series of C and S with 260 digits.
    CHECK(knifeEdgeLossExact(-5).v == Approx(-0.2728735919).margin(1e-5));
    CHECK(knifeEdgeLossExact(5).v == Approx(26.9361979405).margin(1e-5));
    CHECK(knifeEdgeLossExact(12).v == Approx(34.5370284167).margin(1e-5));
    // Table of Fresnel integrals, Abramowitz and Stegun table 7.7: C(1) = 0.7798934, S(1) = 0.4382591.
    const double re = 1 - 0.7798934 - 0.4382591, im = 0.7798934 - 0.4382591;
    CHECK(knifeEdgeLossExact(1).v == Approx(-10 * std::log10((re * re + im * im) / 4)).margin(2e-6));
}

TEST_CASE("knife edge: nu is sqrt 2 times the height in first Fresnel radii", "[radio]") {
    // P.526-16, 4.1: the identity nu = sqrt(2) h / F1.
    const double lambda = wavelengthM(megahertz(3500));
    for (double h : {-3.0, 0.5, 12.0})
        CHECK(fresnelNu(h, 70, 210, lambda) ==
              Approx(std::sqrt(2.0) * h / fresnelRadiusM(1, 70, 210, lambda)).epsilon(1e-12));
}

TEST_CASE("two edges: neither end matters, close edges are one, and no step as the roof sinks", "[radio]") {
    Random r(21);
    const double lambda = wavelengthM(megahertz(2600));
    for (int k = 0; k < 5000; ++k) {
        const DoubleEdge e{r.between(5, 300), r.between(1, 60), r.between(5, 300), r.between(-10, 15),
                           r.between(-10, 15)};
        const double loss = doubleEdgeLoss(e, lambda).v;
        REQUIRE(loss == Approx(doubleEdgeLoss({e.cM, e.bM, e.aM, e.h2M, e.h1M}, lambda).v).margin(1e-9));
        const double deeper = std::max(fresnelNu(e.h1M, e.aM, e.bM + e.cM, lambda),
                                       fresnelNu(e.h2M, e.aM + e.bM, e.cM, lambda));
        REQUIRE(loss >= knifeEdgeLoss(deeper).v);
    }
    // Two edges at grazing, all three spaces equal: a third of the field arrives (N equal spaces: 1 / (N +
    // 1), Xia and Bertoni, IEEE Trans. AP-40 (1992), cited from memory). J(0) is 0.0123 dB
    // high, twice, and the term is printed with 12 for 12.04 dB: 0.07 dB in all.
    for (const double h : {1e-9, 0.0, -1e-9})
        CHECK(doubleEdgeLoss({100, 100, 100, h, h}, lambda).v == Approx(20 * std::log10(3.0)).margin(0.07));
    // Towers a few metres from an antenna: the term's power of a ratio leaves the range of a double many
    // times over.
    for (int k = 0; k < 5000; ++k) {
        const DoubleEdge e{r.between(0.5, 30), r.between(1, 60), r.between(0.5, 30), r.between(-1, 1),
                           r.between(0, 300)};
        const double loss = doubleEdgeLoss(e, lambda).v;
        const double deeper = knifeEdgeLoss(std::max(fresnelNu(e.h1M, e.aM, e.bM + e.cM, lambda),
                                                     fresnelNu(e.h2M, e.aM + e.bM, e.cM, lambda)))
                                  .v;
        REQUIRE(loss >= deeper);
        REQUIRE(loss <=
                2 * deeper + 13); // two edges lose less than each alone twice, 6 dB at grazing and the term
    }
    for (double h : {1.0, 5.0, 20.0}) {
        const double one = knifeEdgeLoss(fresnelNu(h, 100, 80, lambda)).v;
        CHECK(doubleEdgeLoss({100, 1e-6, 80, h, h}, lambda).v == Approx(one).margin(0.1));
    }
    // A flat roof of 12 m sinking through the line between two antennas, 1 mm a step. The steepest part of J
    // is 9 dB a unit of nu, nu here changes 0.7 a metre and edge: 0.05 dB bounds what 1 mm may do.
    double before = doubleEdgeLoss({60, 12, 90, 3, 3}, lambda).v;
    for (double h = 3; h > -6; h -= 0.001) {
        const double now = doubleEdgeLoss({60, 12, 90, h, h}, lambda).v;
        REQUIRE(std::fabs(now - before) < 0.05);
        before = now;
    }
    CHECK(before == 0);
}

TEST_CASE("composed loss: continuous at the shadow edge, between sight and no sight elsewhere", "[radio]") {
    const Hertz f = megahertz(2600);
    for (double d = 5; d < 700; d *= 1.07) {
        const Db los = siteGeneralLoss(belowRoofLos(), d, f), nlos = siteGeneralLoss(belowRoofNlos(), d, f);
        CHECK(composeLoss(los, nlos, {0}, false).v == composeLoss(los, nlos, {0}, true).v);
        double before = los.v;
        for (double nu = -0.9; nu < 30; nu += 0.01) {
            const double now = composeLoss(los, nlos, knifeEdgeLoss(nu), false).v;
            REQUIRE(now >= los.v);
            REQUIRE(now <= std::max(los.v, nlos.v));
            REQUIRE(now - before >= -1e-12);
            // J jumps 0.0 to 0.03 dB at nu = -0.78 (P.526-16, eq. 31) and rises at most 0.11 dB per 0.01 of
            // nu.
            REQUIRE(now - before < 0.15);
            before = now;
        }
    }
}

TEST_CASE("small cell rows: the default pair covers 0.8 GHz and 5 m, and says when it does not", "[radio]") {
    CHECK(siteGeneralRange(belowRoofLos(), 5, megahertz(800)).inside());
    CHECK(siteGeneralRange(belowRoofLos(), 4.99, megahertz(800)).distance == Range::below);
    CHECK(siteGeneralRange(belowRoofLos(), 661, megahertz(800)).distance == Range::above);
    CHECK(siteGeneralRange(belowRoofNlos(), 29, megahertz(700)).distance == Range::below);
    CHECK(siteGeneralRange(belowRoofNlos(), 100, megahertz(700)).frequency == Range::below);
    CHECK_FALSE(
        siteGeneralRange(belowRoofLos(), std::numeric_limits<double>::quiet_NaN(), megahertz(800)).inside());
    // The reason the header gives for the high-rise row.
    for (double d = 36; d < 250; d += 1)
        REQUIRE(siteGeneralLoss(p1411v11::belowRoofNlosHighRise, d, megahertz(2600)).v <
                siteGeneralLoss(p1411v11::belowRoofNlosLowRise, d, megahertz(2600)).v);
}

TEST_CASE("macro and micro: no step at the breakpoint, never below the loss with sight", "[radio]") {
    const Hertz f = megahertz(1800);
    for (auto [los, nlos, hBs] : {std::tuple{&umaLos, &umaNlos, 25.0}, std::tuple{&umiLos, &umiNlos, 10.0}}) {
        const double bp = breakpointM(hBs, 1.5, f);
        // 28.0 + 22 log d against 28.0 + 40 log d - 9 log(...) meet exactly at d3D^2 = dBP^2 + h^2.
        CHECK(los(bp - 1e-6, hBs, 1.5, f).v == Approx(los(bp + 1e-6, hBs, 1.5, f).v).margin(1e-6));
        double before = 0;
        for (double d = 1; d < 5000; d *= 1.02) {
            REQUIRE(nlos(d, hBs, 1.5, f).v >= los(d, hBs, 1.5, f).v);
            REQUIRE(los(d, hBs, 1.5, f).v > before);
            before = los(d, hBs, 1.5, f).v;
        }
    }
    for (double d = 20; d < 1e9; d *= 1.5) { // chances of sight stay chances and fall, however far
        REQUIRE(umaSightChance(d, 1.5) <= umaSightChance(d / 1.5, 1.5));
        REQUIRE(umiSightChance(d) <= umiSightChance(d / 1.5));
        REQUIRE(umiSightChance(d) > 0);
        REQUIRE(umaSightChance(d, 22) <= 1);
    }
    CHECK(std::isfinite(umaLos(0, 25, 25, f).v));    // straight above: taken as 1 m
    CHECK(std::isfinite(umiLos(500, 10, 1.0, f).v)); // no breakpoint at the height of the surroundings
    CHECK(breakpointM(10, 0.5, f) == 0);
    // TR 38.901, Table 7.4.1-1: UMa stands at 25 m, UMi at 10 m, both 10 m to 5 km; 7.4.1: 0.5 to 100 GHz.
    CHECK(umaRange(10, 25, 1.5, f).inside());
    CHECK(umaRange(9, 25, 1.5, f).distance == Range::below);
    CHECK(umaRange(100, 30, 1.5, f).station == Range::above);
    CHECK(umiRange(5000, 10, 22.5, f).inside());
    CHECK(umiRange(100, 7, 1.5, f).station == Range::below);
    CHECK(umiRange(100, 10, 1.4, megahertz(450)).terminal == Range::below);
    CHECK(umiRange(100, 10, 1.4, megahertz(450)).frequency == Range::below);
}

TEST_CASE("building entry: inverse normal, order of classes, mixture between its parts", "[radio]") {
    // Abramowitz and Stegun, table 26.1: P(1.96) = 0.9750021049; normal tables: z(0.95) = 1.644854, z(0.999)
    // = 3.090232.
    CHECK(normalQuantile(0.9750021049) == Approx(1.96).margin(1e-6));
    CHECK(normalQuantile(0.95) == Approx(1.644854).margin(1e-6));
    CHECK(normalQuantile(0.001) == Approx(-3.090232).margin(1e-6));
    for (double p = 1e-7; p < 0.5; p *= 1.3) {
        REQUIRE(normalCdfFixed(normalQuantile(p)) == Approx(p).epsilon(1e-6));
        REQUIRE(normalQuantile(p) == Approx(-normalQuantile(1 - p)).margin(1e-6));
    }
    const Hertz f = megahertz(1800);
    const double t = entryLoss(EntryClass::traditional, f, 13, 0.5).v,
                 e = entryLoss(EntryClass::efficient, f, 13, 0.5).v;
    CHECK(entryRange(megahertz(79)) == Range::below);
    CHECK(entryLossMedianMix(f, 13, 0).v == Approx(t).margin(1e-6));
    CHECK(entryLossMedianMix(f, 13, 1).v == Approx(e).margin(1e-6));
    CHECK(entryLossMedianMix(f, 13).v > t);
    CHECK(entryLossMedianMix(f, 13).v < entryLossMedianMix(f, 13, 0.5).v);
    CHECK(entryLossMedianMix(f, -13).v == entryLossMedianMix(f, 13).v);
}

// Outside value: the definition itself, by counting. 200,000 draws: the median's standard error is about
// 1.25 * 12 dB / sqrt(200000) = 0.03 dB; four of those.
TEST_CASE("building entry: the mixture's median is that of drawn buildings", "[radio]") {
    Random r(5);
    const Hertz f = megahertz(2600);
    const double median = entryLossMedianMix(f, 0).v;
    int below = 0;
    constexpr int kDraws = 200000;
    for (int k = 0; k < kDraws; ++k) {
        const auto cls = r.between(0, 1) < 0.3 ? EntryClass::efficient : EntryClass::traditional;
        below += entryLoss(cls, f, 0, r.between(1e-6, 1 - 1e-6)).v <= median;
    }
    CHECK(below / double(kDraws) == Approx(0.5).margin(4 * 0.5 / std::sqrt(double(kDraws))));
}
