// SPDX-License-Identifier: GPL-3.0-or-later
// Serving map and cost map on one made-up tile against brute force in double precision.
#include "base/random.h"
#include "catch.h"
#include "fringe/load_map.h"

#include <algorithm>
#include <cmath>

using namespace fw;

namespace {

// A tile whose cells have losses of their own and antennas that send alike all round.
struct Tile {
    TileReceivers receivers;
    PatternTable round;
    std::vector<PathSlice> slices;
    std::vector<CellSource> cells;
    std::vector<std::int64_t> shares;

    explicit Tile(std::size_t indoor) {
        receivers.key = {1100, 8000};
        receivers.weight.assign(kTileArea, 0);
        receivers.openCells.assign(kTileArea, 15);
        receivers.inArea.assign(kTileArea, 0);
        receivers.groundAmsl.assign(kTileArea, 0);
        receivers.indoor.resize(indoor);
        round.most = 2500;
        slices.reserve(16);
    }
    void cell(int baseCenti, double share, std::vector<std::int16_t> loss) {
        PathSlice s;
        const std::vector<std::int16_t> level(receivers.indoor.size(), 0);
        s.indoor = std::make_shared<const IndoorAngles>(IndoorAngles{level, level});
        s.antennaAmsl = static_cast<float>(kStreetReceiverM);
        s.loss = std::move(loss);
        slices.push_back(std::move(s));
        CellSource c;
        c.roster = static_cast<std::uint16_t>(cells.size());
        c.sector = c.roster;
        c.baseCenti = baseCenti;
        c.share = static_cast<std::int64_t>(share * 65536);
        c.pattern = &round;
        c.slice = &slices.back();
        cells.push_back(c);
        shares.push_back(c.share);
    }
};

Tile randomTile(Random& r, std::size_t indoor, int cells) {
    Tile t(indoor);
    for (auto& w : t.receivers.weight) w = static_cast<std::int32_t>(r.below(4) * 1024);
    for (auto& b : t.receivers.indoor) b.weight = static_cast<std::int32_t>(1 + r.below(200000));
    for (int c = 0; c < cells; ++c) {
        std::vector<std::int16_t> loss(t.receivers.size());
        for (auto& l : loss) // coarse steps, so that equal levels happen
            l = r.chance(0.1) ? kNoPath : static_cast<std::int16_t>(9000 + 50 * r.below(120));
        t.cell(3300, r.between(0.1, 1), loss);
    }
    return t;
}

} // namespace

TEST_CASE("Signal over interference of two cells, by hand") {
    // One at -80 dBm, the other at -90 dBm sending half of the time: 0.5e-9 mW, and noise of -123.24 dBm =
    // 4.7e-13 mW, together 5.005e-10 mW = -93.006 dBm. -80 + 93.01 = 13.01 dB.
    Tile t(0);
    t.receivers.weight[0] = 256;
    t.cell(3000, 1, std::vector<std::int16_t>(kTileArea, 11000));
    t.cell(3000, 0.5, std::vector<std::int16_t>(kTileArea, 12000));
    const ModelTables tables{ModelSettings{}};
    const TileLevels l = makeLevels(t.receivers, t.cells, 1, t.shares, tables);
    CHECK(rosterOf(l.layers[0].strongest[0][0]) == 0);
    CHECK(levelOf(l.layers[0].strongest[0][0]) == -8000);
    CHECK(std::abs(l.layers[0].sinr[0] - 1301) <= 1); // the table of logarithms errs by 0.01 dB
}

TEST_CASE(
    "The serving map equals brute force: strongest first, ties to the lower id, nobody below the limit") {
    Random r(31);
    const ModelSettings s;
    const ModelTables tables{s};
    const Tile t = randomTile(r, 40, 6);
    const TileLevels l = makeLevels(t.receivers, t.cells, 1, t.shares, tables);
    const double noise = std::pow(10, (-174 + 10 * std::log10(15000.0) + s.noiseFigureDb) / 10);
    int ties = 0, nobody = 0;
    for (std::size_t i = 0; i < t.receivers.size(); ++i) {
        std::vector<std::pair<int, int>> heard; // falling level, then rising id
        double all = 0, serving = 0;
        for (const CellSource& c : t.cells) {
            if (c.slice->loss[i] == kNoPath) continue;
            const int level = c.baseCenti - c.slice->loss[i];
            heard.emplace_back(-level, c.roster);
            all += std::pow(10, level / 1000.0) * static_cast<double>(c.share) / 65536;
        }
        std::sort(heard.begin(), heard.end());
        for (std::size_t k = 0; k < kStrongest; ++k) {
            const ServingKey key = l.layers[0].strongest[k][i];
            if (k >= heard.size()) {
                REQUIRE(key == 0);
                continue;
            }
            REQUIRE(levelOf(key) == -heard[k].first);
            REQUIRE(rosterOf(key) == heard[k].second);
        }
        if (heard.empty() || -heard[0].first < s.servedFromDbm * 100) {
            REQUIRE(l.layers[0].sinr[i] == kNoLevel);
            ++nobody;
            continue;
        }
        ties += heard.size() > 1 && heard[0].first == heard[1].first;
        serving = std::pow(10, -heard[0].first / 1000.0) *
                  static_cast<double>(t.shares[static_cast<std::size_t>(heard[0].second)]) / 65536;
        const double sinr = -heard[0].first / 100.0 - 10 * std::log10(all - serving + noise);
        // Logarithm's table 0.01 dB, each power cut to 1e-15 mW beside a noise of 474 of them.
        REQUIRE(std::fabs(l.layers[0].sinr[i] / 100.0 - sinr) <= 0.07);
    }
    CHECK(ties > 100);
    CHECK(nobody >= 0);
}

TEST_CASE("Bits are eight tenths indoors, costs add up to the movable use, and bins hold all of it") {
    Random r(77);
    const ModelSettings s;
    const ModelTables tables{s};
    const Tile t = randomTile(r, 300, 4);
    const TileLevels l = makeLevels(t.receivers, t.cells, 1, t.shares, tables);
    const auto demand = demandIn(t.receivers, l, {}, tables);
    REQUIRE(demand.size() == 4);
    const auto movable = static_cast<std::int64_t>(0.55 * 100 * kPrbUnit);
    std::vector<CellScales> scales(4);
    for (const DemandSum& d : demand) scales[d.roster] = costScales({}, {{d}}, movable, s.indoorShare);
    const TileCost cost = spreadCost(t.receivers, l, scales, tables);
    std::vector<std::int64_t> sum(4, 0), binned(4, 0), receivers(4, 0);
    std::vector<double> indoor(4, 0), outdoor(4, 0);
    for (std::size_t i = 0; i < t.receivers.size(); ++i) {
        const std::int64_t c = cost.layers[0][i];
        if (c <= 0) continue;
        const std::uint16_t m = rosterOf(l.layers[0].strongest[0][i]);
        sum[m] += c;
        ++receivers[m];
        // A bit costs the mean of 1 / efficiency over shadowing.
        (i < kTileArea ? outdoor : indoor)[m] +=
            static_cast<double>(c) / tables.meanPerEfficiency(l.layers[0].sinr[i]);
    }
    for (const TileCost::Bin& b : cost.bins) binned[b.roster] += b.cost;
    for (std::size_t m = 0; m < 4; ++m) {
        CHECK(sum[m] <= movable);
        CHECK(movable - sum[m] <= receivers[m] + 1); // each is rounded down by less than one
        CHECK(binned[m] == sum[m]);
        CHECK(indoor[m] / (indoor[m] + outdoor[m]) == Approx(0.8).epsilon(1e-6)); // rounding down
    }
}

TEST_CASE("A cell with demand on one side only puts all of its use there; without any there is no scale") {
    DemandSum d;
    d.outdoor = 10;
    d.outdoorCost = 40;
    const CostScale s = costScales({}, {{d}}, 4000, 0.8).byRing[0];
    CHECK(s.indoor == 0);
    CHECK(s.outdoor * d.outdoorCost == Approx(4000));
    CHECK(costScales({}, {}, 4000, 0.8).byRing[0] == CostScale{});
    CHECK(costScales({}, {{d}}, 0, 0.8).byRing[0] == CostScale{});
}

TEST_CASE("The fringe is the densest classes that hold half, as sorting says") {
    Random r(9);
    for (int k = 0; k < 2000; ++k) {
        std::vector<std::pair<std::uint16_t, std::int64_t>> bins;
        std::uint16_t bin = 0;
        std::int64_t total = 0;
        for (std::uint32_t n = 1 + r.below(12); n > 0; --n) {
            bin = static_cast<std::uint16_t>(bin + 1 + r.below(5));
            bins.emplace_back(bin, static_cast<std::int64_t>(1 + r.below(100)));
            total += bins.back().second;
        }
        const std::uint16_t from = fringeFrom(bins);
        std::int64_t inside = 0, without = 0; // without: one class less
        for (const auto& [b, c] : bins) {
            if (b >= from) inside += c;
            if (b > from) without += c;
        }
        REQUIRE(2 * inside >= total);
        REQUIRE(2 * without < total);
    }
    CHECK(fringeFrom({}) == 65535);
}

TEST_CASE("Density classes rise eight to an octave") {
    const auto block = static_cast<std::int64_t>(kBlockM * kBlockM);
    CHECK(densityBin(0) == 0);
    for (std::int64_t d = 64; d < (std::int64_t{1} << 36); d = d * 9 / 8 + 1) {
        CHECK(densityBin(2 * d * block) == densityBin(d * block) + 8); // an octave
        CHECK(densityBin((d + d / 4) * block) > densityBin(d * block));
    }
}
