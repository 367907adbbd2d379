// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/random.h"
#include "catch.h"
#include "radio/antenna.h"

#include <cmath>
#include <fmt/format.h>
#include <string>

using namespace fw;

namespace {

// A cut written out from the parabolas of TR 36.814, Table A.2.1.1-2 in whole degrees, as a measurement would
// come.
std::string csvOf(const ParabolicCuts& c, const char* separator, bool asGain) {
    std::string out =
        "\xEF\xBB\xBF# sample\r\ngain_dbi" + std::string(separator) + fmt::format("{:f}", c.gainDbi) + "\r\n";
    for (const bool horizontal : {true, false}) {
        out += horizontal ? "Horizontal\r\n" : "Vertical\r\n";
        out += std::string("angle (deg)") + separator + (asGain ? "gain (dB)" : "loss (dB)") + "\r\n";
        for (int a = 0; a < 360; ++a) {
            const double x = (a > 180 ? a - 360 : a) / (horizontal ? c.hBeamDeg : c.vBeamDeg);
            const double loss = std::min(12 * x * x, horizontal ? c.frontBackDb : c.sideLobeDb);
            out += std::to_string(a) + separator + fmt::format("{:f}", asGain ? -loss : loss) + "\r\n";
        }
    }
    return out;
}

const ParabolicCuts kMacro{17, 70, 10, 25, 20};

} // namespace

TEST_CASE("pattern: the same on both sides and across 0/360", "[radio][antenna]") {
    const Pattern p(kMacro);
    for (double a = 0; a <= 180; a += 0.7)
        for (double e = -60; e <= 60; e += 7.3) {
            REQUIRE(p.gain(a, e, 4, 3).v == Approx(p.gain(-a, e, 4, 3).v).margin(1e-9));
            REQUIRE(p.gain(a, e, 4, 3).v == Approx(p.gain(a + 360, e, 4, 3).v).margin(1e-9));
        }
    CHECK(p.gain(359.9, 0, 0, 0).v == Approx(p.gain(-0.1, 0, 0, 0).v).margin(1e-9));
    CHECK(p.gain(0, 0, 0, 0).v == 17);
}

TEST_CASE("pattern: tilt down is positive, electrical at all azimuths, mechanical turns over",
          "[radio][antenna]") {
    const Pattern p(kMacro);
    CHECK(p.gain(0, -6, 0, 6).v == Approx(17));
    CHECK(p.gain(0, -6, 6, 0).v == Approx(17).margin(1e-9));
    CHECK(p.gain(0, -9, 5, 4).v == Approx(17).margin(1e-9)); // both add up ahead
    // Electrical tilt also droops behind; mechanical tilt rises there.
    const ParabolicCuts allRound{17, 360, 10, 25, 20};
    const Pattern o(allRound);
    CHECK(o.gain(180, -6, 0, 6).v == Approx(17));
    CHECK(o.gain(180, 6, 6, 0).v == Approx(17).margin(1e-9));
    // At right angles to boresight mechanical tilt does nothing to the elevation of the horizon (solid
    // geometry).
    CHECK(o.gain(90, 0, 6, 0).v == Approx(17).margin(1e-9));
}

TEST_CASE("pattern: the sum of both cuts is bounded by Am, not by the vertical bound", "[radio][antenna]") {
    // TR 36.814, Table A.2.1.1-2: A = -min(-(A_H + A_V), Am).
    const Pattern p(kMacro);
    CHECK(p.gain(180, 45, 0, 0).v == 17 - 25);
    CHECK(p.gain(0, 45, 0, 0).v == 17 - 20);
    CHECK(p.maxAttenuationCentiDb() == 2500);
}

TEST_CASE("pattern: tables agree with the gain to a rounding", "[radio][antenna]") {
    const auto fromCsv = readCutCsv(csvOf(kMacro, ",", false));
    REQUIRE(fromCsv.ok());
    for (const Pattern& p : {Pattern(kMacro), Pattern(*fromCsv)}) {
        const auto h = p.horizontalTable(), v = p.verticalTable(4);
        REQUIRE(h.size() == 3600);
        REQUIRE(v.size() == 1801);
        for (int i = 0; i < 3600; i += 7)
            for (int j = 0; j <= 1800; j += 11) {
                const int loss = std::min(h[i] + v[j], p.maxAttenuationCentiDb());
                // Two entries and the bound, each rounded to 0.01 dB: 0.005 dB each.
                REQUIRE(p.maxGainDbi() - loss / 100.0 ==
                        Approx(p.gain(i / 10.0, (j - 900) / 10.0, 0, 4).v).margin(0.0151));
            }
    }
}

TEST_CASE("pattern: a measured cut gives back the parabola it was written from", "[radio][antenna]") {
    const Pattern exact(kMacro);
    for (const char* separator : {",", ";", "\t"})
        for (const bool asGain : {true, false}) {
            const auto cut = readCutCsv(csvOf(kMacro, separator, asGain));
            REQUIRE(cut.ok());
            CHECK(cut->gainDbi == 17);
            const Pattern p(*cut);
            // A chord of 1 deg lies at most 12/10^2 / 4 = 0.03 dB off 12 (x/10)^2, and 6e-4 dB off the
            // horizontal cut. In the step where the vertical cut meets its bound (12.91 deg, between 17.28
            // and 20 dB) it is 0.25 dB.
            for (double a = -180; a < 180; a += 3.3)
                for (double e = -40; e < 40; e += 1.7) {
                    const double want = exact.gain(a, e, 3, 2).v;
                    REQUIRE(p.gain(a, e, 3, 2).v == Approx(want).margin(want > 0 ? 0.035 : 0.25));
                }
            CHECK(p.halfPowerBeamwidths().horizontalDeg == Approx(70).margin(0.1));
            CHECK(p.halfPowerBeamwidths().verticalDeg == Approx(10).margin(0.1));
        }
}

TEST_CASE("pattern: half-power widths", "[radio][antenna]") {
    CHECK(Pattern(kMacro).halfPowerBeamwidths().horizontalDeg == 70);
    CHECK(Pattern(kMacro).halfPowerBeamwidths().verticalDeg == 10);
    CHECK(Pattern(ParabolicCuts{5, 360, 35, 20, 15}).halfPowerBeamwidths().horizontalDeg == 360);
    const Pattern p(kMacro);
    CHECK(p.gain(35, 0, 0, 0).v == Approx(17 - 3)); // half the width: 3 dB down, by definition of the width
    CHECK(p.gain(0, 5, 0, 0).v == Approx(17 - 3));
}

TEST_CASE("pattern: the kernels' effective tilt keeps its stated error", "[radio][antenna]") {
    const Pattern p(kMacro);
    double worst = 0;
    for (double tilt = 0; tilt <= 10; tilt += 2.5)
        for (double a = -35; a <= 35; a += 2.5)
            for (double e = -10; e <= 10; e += 0.5) {
                const double turned = p.gain(a, e, tilt, 2).v;
                if (turned < 17 - 3) continue; // the statement is about the half-power beam
                const double shifted = p.gain(a, e, 0, effectiveTiltDeg(a, tilt, 2)).v;
                worst = std::max(worst, std::fabs(turned - shifted));
            }
    INFO("worst " << worst);
    CHECK(worst < 0.1);
}

TEST_CASE("measured cuts: decimal comma, half-circle vertical cut, angles to 180 and back",
          "[radio][antenna]") {
    std::string text = "angle;gain\nhorizontal\n";
    for (int a = -180; a <= 180; a += 10) text += std::to_string(a) + ";" + (a == 0 ? "8,5" : "-3,25") + "\n";
    text += "vertical\n";
    for (int a = -90; a <= 90; a += 15) text += std::to_string(a) + ";" + (a == 0 ? "8,5" : "1,0") + "\n";
    const auto cut = readCutCsv(text);
    REQUIRE(cut.ok());
    CHECK(cut->gainDbi == 8.5);
    const Pattern p(*cut);
    CHECK(p.gain(0, 0, 0, 0).v == 8.5);
    CHECK(p.gain(90, 0, 0, 0).v == Approx(-3.25));
    CHECK(p.gain(0, -45, 0, 0).v == Approx(1.0));
}

TEST_CASE("measured cuts: refused with the row and the reason", "[radio][antenna]") {
    const std::string good = csvOf(kMacro, ",", false);
    const auto sentence = [](const std::string& text) {
        const auto r = readCutCsv(text);
        return r.ok() ? std::string("accepted") : r.error().sentence();
    };
    using Catch::Matchers::Contains;
    CHECK_THAT(sentence(""), Contains("no horizontal cut"));
    CHECK_THAT(sentence("0,1\n"), Contains("row 1") && Contains("first section"));
    CHECK_THAT(sentence("horizontal\n0,1\nten,2\n"), Contains("row 3") && Contains("ten"));
    CHECK_THAT(sentence("horizontal\n0,1,2\n"), Contains("row 2") && Contains("3 fields"));
    CHECK_THAT(sentence("horizontal\n0,x\n"), Contains("row 2") && Contains("\"x\""));
    CHECK_THAT(sentence("horizontal\n0,nan\n"), Contains("row 2"));
    CHECK_THAT(sentence("horizontal\n400,1\n"), Contains("row 2") && Contains("400"));
    CHECK_THAT(sentence("horizontal\n0,0\n120,3\n240,3\n"), Contains("no point between"));
    CHECK_THAT(sentence("horizontal\nangle,loss\n0,0\n5,-3\n"), Contains("row 4") && Contains("negative"));
    CHECK_THAT(sentence(good + "0,9\n"), Contains("stands twice"));
    std::string noGain = good;
    noGain.replace(noGain.find("gain_dbi"), noGain.find("Horizontal") - noGain.find("gain_dbi"), "");
    CHECK_THAT(sentence(noGain), Contains("maximum gain is not stated"));
    std::string relative = csvOf(kMacro, ",", true);
    relative.replace(relative.find("gain_dbi"), relative.find("Horizontal") - relative.find("gain_dbi"), "");
    CHECK_THAT(sentence(relative), Contains("maximum gain is not stated"));
    // Whatever the bytes, an answer comes back: prefixes of a good file with a byte changed.
    Random r(3);
    for (int k = 0; k < 2000; ++k) {
        std::string broken = good.substr(0, static_cast<std::size_t>(r.between(0, double(good.size()))));
        if (!broken.empty())
            broken[static_cast<std::size_t>(r.between(0, double(broken.size()) - 0.01))] =
                static_cast<char>(static_cast<int>(r.between(0, 255)));
        if (const auto answer = readCutCsv(broken); !answer) REQUIRE_FALSE(answer.error().text.empty());
    }
}

TEST_CASE("measured cuts: to the plan and back", "[radio][antenna]") {
    const auto cut = readCutCsv(csvOf(kMacro, ";", false));
    REQUIRE(cut.ok());
    const AntennaCut stored = antennaCutOf(*cut, {}, "sample");
    CHECK(stored.name == "sample");
    const CutTable again = cutTableOf(stored);
    CHECK(again.gainDbi == 17);
    const Pattern a(*cut), b(again);
    CHECK(a.horizontalTable() == b.horizontalTable());
    CHECK(a.verticalTable(3.3) == b.verticalTable(3.3));
    // Elevation counts upwards in the plan: what points down at -6 deg there is the beam of a 6 deg tilt.
    AntennaCut tilted;
    tilted.verticalDeg = {10, -90, -6, 90, -20};
    tilted.verticalLossDb = {12, 20, 0, 20, 9};
    CHECK(Pattern(cutTableOf(tilted)).gain(77, -6, 0, 0).v == 0);
    CHECK(Pattern(cutTableOf(tilted)).gain(0, 6, 0, 0).v < -5);
    CHECK(Pattern(cutTableOf(AntennaCut{})).gain(10, 10, 5, 5).v == 0);
}

TEST_CASE("tilt geometry", "[radio][antenna]") {
    CHECK(depressionDeg(100, 0) == 0);
    CHECK(depressionDeg(100, -100) == Approx(-45).margin(1e-9));
    CHECK_FALSE(rayReachM(8, 1.5, 0).has_value());  // level: never comes down
    CHECK_FALSE(rayReachM(8, 1.5, -3).has_value()); // rises
    CHECK(rayReachM(1.5, 8, -45).value() == Approx(6.5).margin(1e-9));
}
