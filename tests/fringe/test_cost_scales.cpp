// SPDX-License-Identifier: GPL-3.0-or-later
// Demand raked to a timing-advance histogram. What iterative proportional fitting must give is known without
// it: both margins are met, and the cross-product ratios of the table are what they were (Bishop, Fienberg
// and Holland, Discrete Multivariate Analysis, 1975, section 3.5); the table with these two properties is the
// only one.
#include "base/random.h"
#include "catch.h"
#include "fringe/load_map.h"

#include <cmath>

using namespace fw;

namespace {

constexpr std::int64_t kMovable = std::int64_t{50} << 32;

DemandRings rings(std::size_t n) { return {{0, 0}, 78, static_cast<std::uint16_t>(n)}; }

std::vector<DemandSum> randomDemand(Random& r, std::size_t n) {
    std::vector<DemandSum> out(n);
    for (std::size_t k = 0; k < n; ++k) {
        out[k].ring = static_cast<std::uint16_t>(k);
        out[k].indoor = r.between(1, 100);
        out[k].outdoor = r.between(1, 100);
        out[k].indoorCost = out[k].indoor * r.between(0.5, 3);
        out[k].outdoorCost = out[k].outdoor * r.between(0.5, 3);
    }
    return out;
}

struct Sums {
    double in = 0, out = 0;
    void add(const DemandSum& d) {
        in += d.indoor;
        out += d.outdoor;
    }
    [[nodiscard]] double share(const DemandSum& d) const {
        return 0.8 * d.indoor / in + 0.2 * d.outdoor / out;
    }
};

} // namespace

TEST_CASE("Raked demand meets the histogram and the indoor share, and keeps the cross-product ratios") {
    Random r(20261128);
    for (int run = 0; run < 200; ++run) {
        const std::size_t n = 2 + r.below(10);
        const auto demand = randomDemand(r, n);
        // Samples within a factor of two of the model, so that none is held back.
        Sums before;
        for (const DemandSum& d : demand) before.add(d);
        std::vector<double> samples(n);
        double all = 0;
        for (std::size_t k = 0; k < n; ++k)
            all += samples[k] = 1e4 * before.share(demand[k]) * r.between(0.5, 1.5);
        RingShares shares;
        const CellScales scales = costScales(rings(n), demand, kMovable, 0.8, samples, &shares);
        // Bits by side and ring are demand times scale.
        std::vector<double> in(n), out(n);
        double indoor = 0, bits = 0, cost = 0;
        for (std::size_t k = 0; k < n; ++k) {
            in[k] = demand[k].indoor * scales.byRing[k].indoor;
            out[k] = demand[k].outdoor * scales.byRing[k].outdoor;
            indoor += in[k];
            bits += in[k] + out[k];
            cost += demand[k].indoorCost * scales.byRing[k].indoor +
                    demand[k].outdoorCost * scales.byRing[k].outdoor;
        }
        CAPTURE(run);
        CHECK(cost == Approx(static_cast<double>(kMovable)).epsilon(1e-11));
        CHECK(cost <= static_cast<double>(kMovable));
        CHECK(indoor / bits == Approx(0.8).epsilon(1e-6));
        for (std::size_t k = 0; k < n; ++k) {
            CHECK((in[k] + out[k]) / bits == Approx(samples[k] / all).epsilon(1e-9));
            CHECK(shares.measured[k] == Approx(samples[k] / all).epsilon(1e-12));
            CHECK(shares.raked[k] == Approx(samples[k] / all).epsilon(1e-9));
            const double was = demand[0].indoor * demand[k].outdoor / (demand[0].outdoor * demand[k].indoor);
            CHECK(in[0] * out[k] / (out[0] * in[k]) == Approx(was).epsilon(1e-9));
        }
    }
}

TEST_CASE("Without a histogram nothing is raked, and the shares say what the model has") {
    Random r(4);
    const auto demand = randomDemand(r, 5);
    Sums sums;
    for (const DemandSum& d : demand) sums.add(d);
    RingShares shares;
    const CellScales scales = costScales(rings(5), demand, kMovable, 0.8, {}, &shares);
    for (std::size_t k = 0; k < 5; ++k) {
        CHECK(scales.byRing[k] == scales.byRing[0]);
        CHECK(shares.modelled[k] == Approx(sums.share(demand[k])));
    }
    CHECK(shares.raked == shares.modelled);
    CHECK(shares.measured.empty());
}

TEST_CASE("Samples where nobody is served are set aside and said; a ring changes eightfold at most") {
    std::vector<DemandSum> demand(2);
    demand[0].ring = 0;
    demand[0].indoor = demand[0].indoorCost = 990;
    demand[1].ring = 1;
    demand[1].indoor = demand[1].indoorCost = 10;
    RingShares shares;
    // Half of the samples lie in a third ring; the other half all in the second, which had a hundredth.
    (void)costScales(rings(3), demand, kMovable, 0.8, std::vector<double>{0, 500, 500}, &shares);
    CHECK(shares.unreached == Approx(0.5));
    // 1 % becomes 8 %, 99 % an eighth: 12.375 %; together that is 20.375 %.
    CHECK(shares.raked[1] == Approx(8 / 20.375));
    CHECK(shares.raked[0] == Approx(12.375 / 20.375));
    CHECK(shares.raked[2] == 0);

    (void)costScales(rings(3), demand, kMovable, 0.8, std::vector<double>{0, 0, 500}, &shares);
    CHECK(shares.raked == shares.modelled); // nothing of it says anything about where they are
    CHECK(shares.unreached == 1);
}

TEST_CASE("A ring is as wide as a step, and the last one holds everything beyond") {
    const DemandRings r{{1000, 2000}, 78.07, 4};
    CHECK(ringOf(r, {1000, 2000}) == 0);
    CHECK(ringOf(r, {1000, 2078.06}) == 0);
    CHECK(ringOf(r, {1078.08, 2000}) == 1);
    CHECK(ringOf(r, {1000 - 3 * 78.07 - 0.01, 2000}) == 3);
    CHECK(ringOf(r, {9000, 9000}) == 3);
    CHECK(ringOf({}, {9000, 9000}) == 0);
}
