// SPDX-License-Identifier: GPL-3.0-or-later
// What must hold for the pattern of Rec. ITU-R F.1336 and for cell offsets besides their published values,
// which tests/calc runs from tests/reference.
#include "base/random.h"
#include "catch.h"
#include "radio/cell_offset.h"
#include "radio/sector_pattern.h"

#include <cmath>

using namespace fw;

namespace {

SectorPattern patternOf(SideLobes lobes, double kv) {
    SectorPattern p;
    p.theta3Deg = sectorBeamwidthDeg(p.gainDbi, p.phi3Deg);
    p.lobes = lobes;
    p.kv = kv;
    return p;
}

} // namespace

TEST_CASE("sector pattern: symmetric, half power at half its widths, falling off boresight",
          "[radio][antenna]") {
    for (const auto lobes : {SideLobes::peak, SideLobes::average})
        for (const double kv : {0.3, 0.7}) {
            const SectorPattern p = patternOf(lobes, kv);
            CHECK(sectorGain(p, 0, 0).v == 18);
            CHECK(sectorGain(p, p.phi3Deg / 2, 0).v == Approx(15).margin(1e-9));
            CHECK(sectorGain(p, 0, p.theta3Deg / 2).v == Approx(15).margin(1e-9));
            double before = 18;
            for (double a = 0.1; a <= 180; a += 0.1) {
                const double now = sectorGain(p, a, 0).v;
                REQUIRE(now <= before + 1e-9);
                REQUIRE(before - now <
                        0.15); // continuous: the steepest is 24 / 65 dB a degree and its lobes'
                REQUIRE(now == Approx(sectorGain(p, -a, 0).v).margin(1e-9));
                REQUIRE(now == Approx(sectorGain(p, a + 360, 0).v).margin(1e-9));
                before = now;
            }
            // Recommends 3.1: 4 half-power widths and 90 deg join; at the edge of the main lobe the printed
            // form steps by 0.13 to 0.4 dB.
            for (const double joint : {4 * p.theta3Deg, 90.0})
                CHECK(sectorGain(p, 0, joint - 1e-7).v == Approx(sectorGain(p, 0, joint).v).margin(1e-5));
            double low = 18;
            for (double e = 0; e <= 90; e += 0.01) {
                const double now = sectorGain(p, 0, e).v;
                REQUIRE(std::fabs(now - low) < 0.41);
                REQUIRE(now == sectorGain(p, 0, -e).v);
                low = now;
            }
        }
    CHECK(sectorPatternRange(megahertz(399)) == Range::below);
    CHECK(sectorPatternRange(megahertz(3500)) == Range::inside);
}

TEST_CASE("sector pattern: tilt moves the beam down and leaves no direction above its gain",
          "[radio][antenna]") {
    const SectorPattern p = patternOf(SideLobes::peak, 0.3);
    for (const double tilt : {2.0, 6.0, 12.0}) {
        CHECK(sectorGainTilted(p, 0, -tilt, tilt, 0).v == Approx(18).margin(1e-9));
        CHECK(sectorGainTilted(p, 0, -tilt, 0, tilt).v == Approx(18).margin(1e-9));
        // Electrical tilt reaches all azimuths, mechanical tilt lifts the back.
        CHECK(sectorGainTilted(p, 60, -tilt, 0, tilt).v == Approx(sectorGain(p, 60, 0).v).margin(1e-9));
        CHECK(sectorGainTilted(p, 180, tilt, tilt, 0).v == Approx(sectorGain(p, 180, 0).v).margin(1e-9));
        CHECK(sectorGainTilted(p, 0, 90, 0, tilt).v == Approx(sectorGain(p, 0, 90).v).margin(1e-9));
    }
    Random r(31);
    for (int k = 0; k < 5000; ++k) {
        const double a = r.between(-180, 180), e = r.between(-90, 90), m = r.between(-15, 15),
                     t = r.between(-15, 15);
        REQUIRE(sectorGainTilted(p, a, e, m, t).v <= 18 + 1e-9);
        REQUIRE(sectorGainTilted(p, a, e, m, t).v == Approx(sectorGainTilted(p, -a, e, m, t).v).margin(1e-6));
    }
}

TEST_CASE("cell offsets: 31 values, symmetric, and the nearest one", "[radio]") {
    // TS 36.331, Q-OffsetRange: dB-24 ... dB24, 31 values.
    const auto all = cellOffsetsDb();
    REQUIRE(all.size() == 31);
    for (std::size_t k = 0; k < all.size(); ++k) CHECK(all[k] == -all[all.size() - 1 - k]);
    for (const int v : all) CHECK(nearestCellOffset({double(v)}).v == v);
    CHECK(nearestCellOffset({7}).v == 6);
    CHECK(nearestCellOffset({-7}).v == -6);
    CHECK(nearestCellOffset({7.2}).v == 8);
    CHECK(nearestCellOffset({90}).v == 24);
    CHECK(rangeGrowth({0}, 3.53) == 1);
    CHECK(rangeGrowth({6}, 3.53) * rangeGrowth({-6}, 3.53) == Approx(1).margin(1e-12));
    CHECK(blockUsePercent(8399, 10000) == 83);
    CHECK(blockUsePercent(10000, 10000) == 100);
}
