// SPDX-License-Identifier: GPL-3.0-or-later
// Cuts as tables give them, each with one thing wrong: what is refused, what is settled, what is said. The
// right answer is the parabola of 3GPP TR 36.814, table A.2.1.1-2, that every table was spoilt from.
#include "catch.h"
#include "radio/antenna.h"
#include "radio/cut_checks.h"

#include <algorithm>
#include <cmath>

using namespace fw;

namespace {

double across(double deg) { return std::min(12 * deg * deg / (65.0 * 65.0), 25.0); }
double upright(double deg) {
    return std::fabs(deg) > 90 ? 25.0 : std::min(12 * deg * deg / (10.0 * 10.0), 25.0);
}

AntennaCut good(int step = 5) {
    AntennaCut a;
    a.name = "Panel 65";
    a.gainDbi = 17;
    for (int deg = -180; deg < 180; deg += step) {
        a.horizontalDeg.push_back(deg);
        a.horizontalLossDb.push_back(across(deg));
        a.verticalDeg.push_back(deg);
        a.verticalLossDb.push_back(upright(deg));
    }
    return a;
}

bool says(const CutVerdict& v, const std::string& words) {
    return std::any_of(v.said.begin(), v.said.end(),
                       [&](const std::string& s) { return s.find(words) != std::string::npos; });
}

} // namespace

TEST_CASE("cuts that are as they should be stay as they are, and nothing is said", "[antenna]") {
    AntennaCut a = good();
    const AntennaCut before = a;
    const CutVerdict v = settleCuts(a);
    CHECK(v.refused.empty());
    CHECK(v.said.empty());
    CHECK(a == before);
    // A turn's last reading repeats its first.
    a.horizontalDeg.push_back(180);
    a.horizontalLossDb.push_back(25.04);
    CHECK(settleCuts(a).refused.empty());
    CHECK(settleCuts(a).said.empty());
}

TEST_CASE("gains below the peak are turned round, a loss at the peak is taken off", "[antenna]") {
    AntennaCut a = good();
    for (double& v : a.horizontalLossDb) v = -v;
    for (double& v : a.verticalLossDb) v += 1.5;
    const CutVerdict v = settleCuts(a);
    REQUIRE(v.refused.empty());
    CHECK(v.said.size() == 2);
    CHECK(says(v, "gains below the peak"));
    CHECK(says(v, "1.5 dB at the peak"));
    const AntennaCut right = good();
    for (std::size_t k = 0; k < a.horizontalDeg.size(); ++k) {
        CHECK(a.horizontalLossDb[k] == Approx(right.horizontalLossDb[k]).margin(1e-12));
        CHECK_FALSE(std::signbit(a.horizontalLossDb[k]));
        CHECK(a.verticalLossDb[k] == Approx(right.verticalLossDb[k]).margin(1e-12));
    }
}

TEST_CASE("gains in dBi, losses on both sides of 0 and an angle with two values are refused", "[antenna]") {
    SECTION("gains, all above 0") {
        AntennaCut a = good();
        for (double& v : a.horizontalLossDb) v = 30 - v;
        CHECK(settleCuts(a).refused.find("these are gains") != std::string::npos);
    }
    SECTION("gains in dBi") {
        AntennaCut a = good();
        for (double& v : a.verticalLossDb) v = 17 - v;
        CHECK(settleCuts(a).refused.find("from -8 to 17 dB") != std::string::npos);
    }
    SECTION("0 and 360") {
        AntennaCut a = good();
        a.horizontalDeg.push_back(360);
        a.horizontalLossDb.push_back(3);
        const CutVerdict v = settleCuts(a);
        CHECK(v.refused.find("at 0 deg") != std::string::npos);
        CHECK(v.refused.find("3 dB") != std::string::npos);
    }
}

TEST_CASE("what looks doubtful is said and taken", "[antenna]") {
    AntennaCut a = good();
    const auto said = [&](const char* words) {
        const CutVerdict v = settleCuts(a);
        INFO((v.said.empty() ? "nothing" : v.said.front()));
        CHECK(v.refused.empty());
        CHECK(says(v, words));
    };
    SECTION("a gap across") {
        AntennaCut holed;
        for (std::size_t k = 0; k < a.horizontalDeg.size(); ++k)
            if (a.horizontalDeg[k] <= 60 || a.horizontalDeg[k] >= 95) {
                holed.horizontalDeg.push_back(a.horizontalDeg[k]);
                holed.horizontalLossDb.push_back(a.horizontalLossDb[k]);
            }
        a = holed;
        said("between 60 and 95 deg");
    }
    SECTION("upright in front only is whole") {
        AntennaCut front = good();
        front.verticalDeg.clear();
        front.verticalLossDb.clear();
        for (int deg = -90; deg <= 90; deg += 5) {
            front.verticalDeg.push_back(deg);
            front.verticalLossDb.push_back(upright(deg));
        }
        CHECK(settleCuts(front).said.empty());
    }
    SECTION("turned by 30 deg") {
        for (double& d : a.horizontalDeg) d += 30;
        said("strongest at 30 deg");
    }
    SECTION("counted from the zenith") {
        for (double& d : a.verticalDeg) d = 90 - d;
        said("90 deg above the horizon");
    }
    SECTION("one side weaker") {
        for (std::size_t k = 0; k < a.horizontalDeg.size(); ++k)
            if (a.horizontalDeg[k] > 0 && a.horizontalDeg[k] < 100) a.horizontalLossDb[k] += 6;
        said("6.0 dB on average from side to side");
    }
    SECTION("cuts of two antennas") {
        for (std::size_t k = 0; k < a.verticalDeg.size(); ++k)
            if (std::fabs(a.verticalDeg[k]) > 90) a.verticalLossDb[k] = 40;
        said("straight behind, 25 dB and 40 dB");
    }
    SECTION("nothing at all") {
        a = {};
        CHECK(settleCuts(a).said.empty());
    }
}

TEST_CASE("a settled table gives the pattern it was measured from", "[antenna]") {
    AntennaCut a = good(1);
    for (double& v : a.horizontalLossDb) v = -v - 2;
    REQUIRE(settleCuts(a).refused.empty());
    const Pattern p(cutTableOf(a));
    for (double deg = -100; deg <= 100; deg += 3.3)
        CHECK(17 - p.gain(deg, 0, 0, 0).v ==
              Approx(across(deg)).margin(0.05)); // a straight line over 1 deg cuts the corner
                                                 // where the parabola meets 25 dB
}
