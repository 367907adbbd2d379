// SPDX-License-Identifier: GPL-3.0-or-later
// What must hold for rain, gases and radio hops besides their published values, which tests/calc runs from
// tests/reference.
#include "catch.h"
#include "radio/clear_air_hop.h"
#include "radio/free_space.h"
#include "radio/gas.h"
#include "radio/gas_lines.h"
#include "radio/knife_edge.h"
#include "radio/rain_hop.h"

#include <cmath>
#include <limits>

using namespace fw;

TEST_CASE("rain: rises with its rate, horizontal above vertical, circular between, straight up all one",
          "[radio]") {
    for (double ghz = 2; ghz < 100; ghz *= 1.1) {
        const Hertz f{ghz * 1e9};
        const RainLaw h = rainLaw(f, 0, 0), v = rainLaw(f, 0, 90), c = rainLaw(f, 0, 45);
        for (double rate = 1; rate < 150; rate *= 1.4) {
            const double ah = rainAttenuationDbPerKm(h, rate), av = rainAttenuationDbPerKm(v, rate);
            REQUIRE(rainAttenuationDbPerKm(h, rate * 1.1) > ah);
            if (rate > 10 && ghz > 6) REQUIRE(ah > av);
            // Seen from below a drop is round: the polarisation no longer matters. P.838-3, eq. (4), cos 90 =
            // 0.
            REQUIRE(rainAttenuationDbPerKm(rainLaw(f, 90, 0), rate) ==
                    Approx(rainAttenuationDbPerKm(c, rate)).epsilon(1e-9));
            // Its law mixes k and k alpha, not the attenuations: between the two but for a per cent where
            // the exponents are close, above 10 GHz.
            if (ghz < 10) continue;
            REQUIRE(rainAttenuationDbPerKm(c, rate) <= std::max(ah, av) * 1.01);
            REQUIRE(rainAttenuationDbPerKm(c, rate) >= std::min(ah, av) * 0.99);
        }
    }
    CHECK(rainRange(megahertz(999)) == Range::below);
    CHECK(rainRange(megahertz(1000)) == Range::inside);
}

TEST_CASE("gases: 44 and 35 lines in order, nothing of water in dry air, the peaks where they belong",
          "[radio]") {
    // Rec. ITU-R P.676-13, Annex 1: lines of Tables 1 and 2.
    REQUIRE(oxygenLines().size() == 44);
    REQUIRE(waterLines().size() == 35);
    for (const auto lines : {oxygenLines(), waterLines()})
        for (std::size_t k = 1; k < lines.size(); ++k) REQUIRE(lines[k].ghz > lines[k - 1].ghz);
    const auto at = [](double ghz) { return gasAttenuation({ghz * 1e9}); };
    CHECK(gasAttenuation(megahertz(22235), {1013.25, 288.15, 0}).waterDbPerKm == 0);
    double best = 0, where = 0;
    for (double ghz = 50; ghz < 70; ghz += 0.01)
        if (at(ghz).oxygenDbPerKm > best) {
            best = at(ghz).oxygenDbPerKm;
            where = ghz;
        }
    // At the ground the complex of lines is one hump with its top near 60.3 GHz.
    CHECK(where == Approx(60.3).margin(1.0));
    for (const double off : {1.0, 4.0}) {
        CHECK(at(22.235).waterDbPerKm > at(22.235 - off).waterDbPerKm); // the line at 22.235 GHz, Table 2
        CHECK(at(22.235).waterDbPerKm > at(22.235 + off).waterDbPerKm);
    }
    CHECK(at(118.75).oxygenDbPerKm > 10 * at(100).oxygenDbPerKm);
    for (double ghz = 1; ghz < 350; ghz += 0.7) {
        REQUIRE(at(ghz).oxygenDbPerKm > 0);
        REQUIRE(at(ghz).waterDbPerKm > 0);
        // More vapour, more attenuation.
        REQUIRE(gasAttenuation({ghz * 1e9}, {1013.25, 288.15, 15}).waterDbPerKm > at(ghz).waterDbPerKm);
    }
    CHECK(gasRange({1.1e12}) == Range::above);
}

TEST_CASE("rain on a hop: rises with length and rate, without a step where the factor ends", "[radio]") {
    for (const double ghz : {5.8, 18.0, 38.0, 60.0, 80.0})
        for (const double rate : {5.0, 26.5, 63.6, 99.1}) {
            const Hertz f{ghz * 1e9};
            const RainLaw law = rainLaw(f, 0, 0);
            double before = 0;
            for (double km = 0.02; km < 30; km *= 1.005) {
                const double now = rainExceeded001(km, f, law, rate).v;
                REQUIRE(now > before);
                // 0.5 % more length changes it by as much; a step of half a percent would show.
                if (before > 0) REQUIRE(now / before < 1.01);
                before = now;
                REQUIRE(rainDistanceFactor(km, f, law, rate) <= 2.5);
            }
            REQUIRE(rainExceeded001(1, f, law, rate * 1.1).v > rainExceeded001(1, f, law, rate).v);
        }
    CHECK(rainHopRange(0.2, megahertz(60480)).inside());
    CHECK(rainHopRange(61, megahertz(900)).distance == Range::above);
    CHECK_FALSE(rainHopRange(std::numeric_limits<double>::quiet_NaN(), megahertz(9000)).inside());
    CHECK(rainHopRange(61, megahertz(900)).frequency == Range::below);
}

TEST_CASE("rain outage: the share it gives is the one whose rain takes the margin", "[radio]") {
    for (const auto reading : {RainReading::logOfPower, RainReading::powerOfLog})
        for (const double ghz : {5.8, 10.0, 23.0, 60.0, 80.0}) {
            const RainScaling s = rainScaling({ghz * 1e9}, reading);
            const Db a001{20};
            double before = 2;
            for (double margin = 20 * rainRatio(s, 1) * 1.0001; margin < 20 * rainRatio(s, 0.001);
                 margin += 0.1) {
                const RainOutage out = rainOutage(a001, margin, s);
                REQUIRE(out.range == Range::inside);
                REQUIRE(out.percent < before);
                REQUIRE(20 * rainRatio(s, out.percent) == Approx(margin).epsilon(1e-9));
                before = out.percent;
            }
            CHECK(rainOutage(a001, 20 * rainRatio(s, 0.001) + 0.01, s).range == Range::below);
            CHECK(rainOutage(a001, 20 * rainRatio(s, 1) - 0.01, s).range == Range::above);
            CHECK(rainOutage(a001, -3, s).range == Range::above);
            CHECK(rainOutage({0}, 3, s).range == Range::below);
        }
    // C0 begins at 10 GHz without a step in both readings.
    for (const auto reading : {RainReading::logOfPower, RainReading::powerOfLog})
        CHECK(rainScaling({10.0e9 * (1 + 1e-12)}, reading).c0 == Approx(0.12).margin(1e-6));
}

TEST_CASE("clear air: a hop may be turned round, deeper fades are rarer, short hops have none", "[radio]") {
    const Hertz f = megahertz(5800);
    CHECK(hopClearanceM(100, 300, f) == hopClearanceM(300, 100, f));
    // P.526-16, 4.1: at 0.6 F1 the parameter is -0.6 sqrt 2 = -0.849, where a knife edge costs nothing.
    CHECK(knifeEdgeLoss(fresnelNu(-hopClearanceM(100, 300, f), 100, 300, wavelengthM(f))).v == 0);
    CHECK(hopClearanceM(100, 300, f) ==
          Approx(0.6 * fresnelRadiusM(1, 100, 300, wavelengthM(f))).epsilon(0.001));
    CHECK(hopObstructionLoss(-1).v > hopObstructionLoss(-0.5).v);
    const MultipathHop hop{1e-4, 8, 0.5, 20};
    CHECK(multipathFadePercent(hop, megahertz(5800), {30}) ==
          Approx(multipathFadePercent(hop, megahertz(5800), {20}) / 10).epsilon(1e-9));
    CHECK(multipathRange(0.35) == Range::below);
    CHECK(multipathRange(8) == Range::inside);
    CHECK(geoclimaticFactor(-200, 10) > geoclimaticFactor(-200, 40));
    CHECK(longFadesPerYear(0.1) > longFadesPerYear(0.01));
}
