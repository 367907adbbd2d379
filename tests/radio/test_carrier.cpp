// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "radio/carrier.h"
#include "radio/link_budget.h"
#include "radio/sinr.h"
#include "radio/throughput.h"

#include <cmath>
#include <limits>
#include <set>

using namespace fw;
using Catch::Matchers::Contains;

TEST_CASE("channel numbers: bands do not overlap in LTE and both directions keep their distance",
          "[radio][carrier]") {
    std::set<int> seen;
    for (const Band& b : bands(Technology::lte))
        for (int n = b.downlinkFirst; n <= b.downlinkLast; ++n) REQUIRE(seen.insert(n).second);
    // Duplex distances of 3GPP TS 36.101, Table 5.7.4-1 (from memory): B1 190, B3 95, B7 120, B20 -41, B28 55
    // MHz.
    const auto distance = [](int channel) {
        return inMegahertz(*downlinkFrequency(Technology::lte, channel)) -
               inMegahertz(*uplinkFrequency(Technology::lte, channel));
    };
    CHECK(distance(100) == Approx(190));
    CHECK(distance(1300) == Approx(95));
    CHECK(distance(2850) == Approx(120));
    CHECK(distance(6300) == Approx(-41));
    CHECK(distance(9300) == Approx(55));
    CHECK(distance(38800) == 0); // time division
}

TEST_CASE("channel numbers: NR band limits lie on the global raster", "[radio][carrier]") {
    // TS 38.104, Table 5.2-1 and 5.4.2.3-1 must agree through 5.4.2.1: two tables, one raster.
    for (const Band& b : bands(Technology::nr)) {
        INFO("band n" << b.number);
        CHECK(inMegahertz(*nrRasterFrequency(b.downlinkFirst)) == Approx(b.downlinkLowMHz).margin(1e-6));
        CHECK(inMegahertz(*nrRasterFrequency(b.uplinkFirst)) == Approx(b.uplinkLowMHz).margin(1e-6));
    }
    // Neighbouring parts of the raster meet: 3000 and 24250.08 MHz (Table 5.4.2.1-1).
    CHECK(inMegahertz(*nrRasterFrequency(600000)) - inMegahertz(*nrRasterFrequency(599999)) ==
          Approx(0.005).margin(1e-9));
    CHECK(inMegahertz(*nrRasterFrequency(2016667)) == Approx(24250.08).margin(1e-9));
}

TEST_CASE("channel numbers: refused by a sentence", "[radio][carrier]") {
    CHECK_THAT(downlinkFrequency(Technology::lte, 19300).error().text,
               Contains("19300") && Contains("uplink"));
    CHECK_FALSE(downlinkFrequency(Technology::lte, -1).ok());
    CHECK_FALSE(downlinkFrequency(Technology::nr, 0).ok());
    CHECK_FALSE(nrRasterFrequency(3279166).ok());
    CHECK_THAT(uplinkFrequency(Technology::nr, 160000).error().text, Contains("n20") && Contains("n28"));
    CHECK(inMegahertz(*uplinkFrequency(Technology::nr, 160000, 20)) == Approx(841));
    CHECK(inMegahertz(*uplinkFrequency(Technology::nr, 160000, 28)) == Approx(745));
    CHECK_FALSE(uplinkFrequency(Technology::nr, 160000, 3).ok());
    CHECK_FALSE(isTimeDivision(Technology::nr, 525000).ok()); // n7 or n41
    CHECK(*isTimeDivision(Technology::nr, 634240));
    CHECK(bandName(Technology::lte, 1300) == "B3");
    CHECK(bandName(Technology::nr, 634240) == "n78 or n77");
    CHECK(bandName(Technology::nr, 1) == "outside known bands");
}

TEST_CASE("carriers: sizes exist or are refused, and fit their band", "[radio][carrier]") {
    CHECK_THAT(resourceBlocks(Technology::lte, 7, 15).error().text,
               Contains("7 MHz") && Contains("1.4, 3, 5, 10, 15, 20"));
    CHECK_FALSE(resourceBlocks(Technology::lte, 20, 30).ok());
    CHECK_FALSE(resourceBlocks(Technology::nr, 20, 60).ok());
    CHECK(carrierFits(Technology::lte, 1300, 20).ok());
    // TS 36.104, Table 5.7.3-1 NOTE 1: 100 channels of 0.1 MHz at the lower end are not for 20 MHz carriers.
    CHECK_FALSE(carrierFits(Technology::lte, 1299, 20).ok());
    CHECK(carrierFits(Technology::lte, 1850, 20).ok());
    CHECK_FALSE(carrierFits(Technology::lte, 1851, 20).ok());
    CHECK(carrierFits(Technology::nr, 634240, 100).ok());
    CHECK_FALSE(carrierFits(Technology::nr, 620100, 100).ok());
    // No carrier is wider than its channel: guard bands stay (TS 36.104, 5.6; TS 38.104, 5.3.2).
    for (double mhz : {1.4, 3.0, 5.0, 10.0, 15.0, 20.0})
        CHECK(occupiedBandwidthMHz(*resourceBlocks(Technology::lte, mhz, 15), 15) < mhz);
    for (double mhz : {5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0}) {
        CHECK(occupiedBandwidthMHz(*resourceBlocks(Technology::nr, mhz, 30), 30) < mhz);
        if (mhz <= 50) CHECK(occupiedBandwidthMHz(*resourceBlocks(Technology::nr, mhz, 15), 15) < mhz);
    }
}

TEST_CASE("powers: ports share, sums are in milliwatts, SINR has its parts", "[radio]") {
    // Two equal powers are 3.0103 dB more than one (10 log10 2).
    const Dbm two[] = {{-80}, {-80}};
    CHECK(sumOfPowers(two).v == Approx(-80 + 10 * std::log10(2.0)).margin(1e-9));
    CHECK(sumOfPowers({}).v == -std::numeric_limits<double>::infinity());
    CHECK(referenceSignalPerPort({46}, 100, 2).v ==
          Approx(powerPerResourceElement({46}, 100).v - 10 * std::log10(2.0)).margin(1e-9));
    CHECK(sinr({-90}, {}, {-110}).v == Approx(20).margin(1e-9));
    const Dbm one[] = {{-100}};
    CHECK(sinr({-90}, one, {-200}).v == Approx(10).margin(1e-6));
    const Dbm none[] = {{-std::numeric_limits<double>::infinity()}};
    CHECK(sinr({-90}, none, {-110}).v == Approx(20).margin(1e-9));
}

TEST_CASE("throughput: nothing below the floor, the cap where TR 36.942 puts it", "[radio]") {
    CHECK(spectralEfficiency(-10.001) == 0);
    CHECK(spectralEfficiency(std::numeric_limits<double>::quiet_NaN()) == 0);
    // 10 log10(2^(4.4/0.6) - 1) = 22.05 dB (worked from TR 36.942, Annex A.1).
    CHECK(spectralEfficiency(22.04) < 4.4);
    CHECK(spectralEfficiency(22.06) == 4.4);
    CHECK(spectralEfficiency(500) == 4.4);
    CHECK(AttenuatedShannon{0.6, -1e9, 4.4}.spectralEfficiency(-1e6) == 0);
    CHECK(spectralEfficiency(1e9) == 4.4);
    for (auto table : {cqiTable(), cqiTable256Qam()})
        for (std::size_t k = 0; k < table.size(); ++k) {
            CHECK(table[k].cqi == int(k) + 1);
            if (k) CHECK(table[k].efficiency() > table[k - 1].efficiency());
        }
    CHECK(cqiAt(-20) == 0);
    CHECK(cqiAt(60) == 15);
}
