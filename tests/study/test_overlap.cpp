// SPDX-License-Identifier: GPL-3.0-or-later
// Overlap of cells beside a plain count over all pixels and all cells, from what the study says at a point.
#include "catch.h"
#include "study/overlap.h"
#include "study/rasters.h"
#include "study/state.h"
#include "support/random_plan.h"

#include <map>

using namespace fw;

namespace {

std::shared_ptr<const Study> studyOnFlat(Plan plan) {
    auto terrain = std::make_shared<Terrain>();
    return *Study::advance(nullptr, std::move(plan), terrain);
}

Plan townOfOneSite(std::uint64_t seed) {
    Random random(seed);
    testing::RandomPlanSpec spec;
    spec.sites = 1; // three sectors: all of them are among the three strongest that the study keeps
    spec.areaM = 700;
    spec.buildings = 120;
    Plan plan = testing::randomPlan(random, spec);
    std::vector<SmallCell> smalls(plan.smallCells.begin(), plan.smallCells.end());
    int n = 0;
    for (SmallCell& s : smalls) {
        s.chosen = n % 5 != 4;
        s.biasDb = n % 3;
        if (n++ % 3 == 2) s.carrier.channel = 2950; // a carrier that no macro has
        plan.smallCells.put(s);
    }
    return plan;
}

using Shares = std::map<std::pair<ItemId, ItemId>, double>;

struct ComparedCell {
    ItemId cell;
    std::pair<Technology, std::int32_t> carrier;
    double compared;
};

Shares plainShares(const Study& s, double marginDb) {
    Shares count;
    const double served = s.plan().settings->model.servedFromDbm;
    for (const TilePart& t : s.core().base->tiles)
        for (std::size_t i = 0; i < static_cast<std::size_t>(kTileArea); ++i) {
            if (t.receivers->openCells[i] == 0) continue;
            const PlanePoint p{
                (t.receivers->key.x * kTilePixels + static_cast<int>(i) % kTilePixels + 0.5) * kPixelM,
                (t.receivers->key.y * kTilePixels + static_cast<int>(i) / kTilePixels + 0.5) * kPixelM};
            std::vector<ComparedCell> all;
            for (const MacroCell& m : s.macroCells())
                if (const auto level = s.macroCellAt(m.id, p); level && *level >= served)
                    all.push_back({m.id,
                                   {s.layers()[static_cast<std::size_t>(m.layer)].technology,
                                    s.layers()[static_cast<std::size_t>(m.layer)].channel},
                                   *level});
            for (const SmallCellPart& c : s.smallCells())
                if (const auto level = c.chosen ? s.smallAt(c.id, p) : std::nullopt;
                    level && *level >= served)
                    all.push_back({c.id, {c.carrier.technology, c.carrier.channel}, *level + c.biasDb});
            std::map<std::pair<Technology, std::int32_t>, ComparedCell> best;
            for (const ComparedCell& h : all) {
                const auto [it, fresh] = best.try_emplace(h.carrier, h);
                if (!fresh && h.compared > it->second.compared + 1e-9) it->second = h;
            }
            for (const auto& [carrier, server] : best)
                for (const ComparedCell& h : all)
                    if (h.compared >= best.at(h.carrier).compared - marginDb - 1e-9)
                        count[{server.cell, h.cell}] += 1;
        }
    Shares out;
    for (const auto& [pair, n] : count)
        if (pair.first != pair.second) out[pair] = n / count.at({pair.first, pair.first});
    return out;
}

} // namespace

TEST_CASE("overlap is what a plain count over all pixels gives", "[study][overlap]") {
    for (const std::uint64_t seed : {11, 12}) {
        INFO("seed " << seed);
        const auto study = studyOnFlat(townOfOneSite(seed));
        const Overlaps got = overlapsOf(*study, 6);
        const Shares want = plainShares(*study, 6);
        Shares have;
        for (const CellOverlap& o : got.pairs) have[{o.cell, o.other}] = o.share;
        CHECK(want.size() > 20);
        CHECK(have.size() == want.size());
        for (const auto& [pair, share] : want) {
            INFO(pair.first.v << " and " << pair.second.v);
            REQUIRE(have.count(pair) == 1);
            CHECK(have.at(pair) == Approx(share).margin(1e-12));
        }
        bool other = false;
        for (const CellOverlap& o : got.pairs) {
            const auto* a = study->smallCell(o.cell);
            other = other || (a && a->carrier.channel == 2950 && study->macroCell(o.other));
        }
        CHECK(other); // other carriers too
    }
}

TEST_CASE("overlap is the same for any number of threads, and grows with the margin", "[study][overlap]") {
    const auto study = studyOnFlat(townOfOneSite(13));
    const Overlaps one = overlapsOf(*study, 6, 1);
    CHECK(one == overlapsOf(*study, 6, 3));
    const Overlaps wide = overlapsOf(*study, 12);
    CHECK(one.ground == wide.ground);
    CHECK(wide.pairs.size() >= one.pairs.size());
    double narrowSum = 0, wideSum = 0;
    for (const CellOverlap& o : one.pairs) narrowSum += o.share;
    for (const CellOverlap& o : wide.pairs) wideSum += o.share;
    CHECK(wideSum > narrowSum);
    std::stop_source stop;
    stop.request_stop();
    Job job;
    job.stop = stop.get_token();
    CHECK(overlapsOf(*study, 6, 1, job).pairs.empty());
}
