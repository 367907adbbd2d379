// SPDX-License-Identifier: GPL-3.0-or-later
// Loss into buildings by TR 38.901, against the printed table and draws of walls and depths.
#include "catch.h"
#include "fringe/site_path.h"

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

using namespace fw;

namespace {

// 3GPP TR 38.901, tables 7.4.3-1 and 7.4.3-2, by hand.
double wall(bool high, double ghz) {
    const double concrete = 5 + 4 * ghz, glass = 2 + 0.2 * ghz, coated = 23 + 0.3 * ghz;
    const auto ratio = [](double db) { return std::pow(10.0, -db / 10); };
    return high ? 5 - 10 * std::log10(0.7 * ratio(coated) + 0.3 * ratio(concrete))
                : 5 - 10 * std::log10(0.3 * ratio(glass) + 0.7 * ratio(concrete));
}

} // namespace

TEST_CASE(
    "TR 38.901 into buildings: wall by material and the median of drawn depths, alike at all elevations") {
    std::mt19937_64 random(20261128);
    std::uniform_real_distribution<double> metre(0, 25);
    std::vector<double> depths(200001);
    for (double& d : depths) d = std::min(metre(random), metre(random)); // 7.4.3.1: the lesser of two
    std::nth_element(depths.begin(), depths.begin() + 100000, depths.end());
    for (const double ghz : {0.8, 1.8, 2.6, 3.5}) {
        const EntryTable t({ghz * 1e9}, 0.3, EntryModel::o2i);
        CAPTURE(ghz);
        for (const bool high : {false, true}) {
            const EntryKind kind = high ? EntryKind::efficient : EntryKind::traditional;
            // 200,000 draws: the median of the depths is good to 0.03 m (one sigma), 0.5 dB a metre.
            CHECK(t.centi(kind, 0) / 100.0 == Approx(wall(high, ghz) + 0.5 * depths[100000]).margin(0.06));
            CHECK(t.centi(kind, 700) == t.centi(kind, 0));
        }
    }
}

TEST_CASE("A building of unknown kind is the median of a mixture of both walls") {
    std::mt19937_64 random(3);
    std::normal_distribution<double> normal;
    std::uniform_real_distribution<double> share(0, 1);
    const double ghz = 1.8, depth = 0.5 * 25 * (1 - 1 / std::sqrt(2.0));
    for (const double efficient : {0.0, 0.3, 0.5, 1.0}) {
        const EntryTable t({ghz * 1e9}, efficient, EntryModel::o2i);
        std::vector<double> draws(400001);
        // Spreads of table 7.4.3-2: 4.4 and 6.5 dB.
        for (double& x : draws) {
            const bool high = share(random) < efficient;
            x = wall(high, ghz) + depth + (high ? 6.5 : 4.4) * normal(random);
        }
        std::nth_element(draws.begin(), draws.begin() + 200000, draws.end());
        CAPTURE(efficient);
        // At a half the mixture is thin in the middle: its density there is 0.005 a dB, sigma 0.16 dB.
        CHECK(t.centi(EntryKind::unknown, 0) / 100.0 == Approx(draws[200000]).margin(0.5));
        CHECK(t.centi(EntryKind::unknown, 0) >= t.centi(EntryKind::traditional, 0));
        CHECK(t.centi(EntryKind::unknown, 0) <= t.centi(EntryKind::efficient, 0));
    }
    // The default is as it was.
    const EntryTable usual({1.8e9}, 0.3);
    const EntryTable named({1.8e9}, 0.3, EntryModel::p2109);
    CHECK(usual.centi(EntryKind::unknown, 100) == named.centi(EntryKind::unknown, 100));
    CHECK(usual.centi(EntryKind::traditional, 700) > usual.centi(EntryKind::traditional, 0));
}
