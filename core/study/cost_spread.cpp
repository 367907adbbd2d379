// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/cost_spread.h"

#include <algorithm>
#include <map>

namespace fw {
namespace {

// One step of timing advance in metres one way: 16 Ts of LTE (TS 36.213, 4.2.3), as many at 15 kHz of NR and
// fewer at wider spacing (TS 38.213, 4.2): 16 x 64 Tc / 2^mu.
double timingAdvanceStepM(const Carrier& c) {
    constexpr double kBasicS = 1 / (15000.0 * 2048), kLightMps = 299792458;
    const int kHz = c.technology == Technology::nr ? std::max(15, c.scsKHz) : 15;
    return 16 * kBasicS * kLightMps / 2 * 15 / kHz;
}

void addTo(std::map<std::uint16_t, DemandSum>& byRing, const DemandSum& s) {
    DemandSum& sum = byRing.try_emplace(s.ring, DemandSum{s.roster, s.ring}).first->second;
    sum.indoor += s.indoor;
    sum.outdoor += s.outdoor;
    sum.indoorCost += s.indoorCost;
    sum.outdoorCost += s.outdoorCost;
}

std::vector<DemandSum> listOf(const std::map<std::uint16_t, DemandSum>& byRing) {
    std::vector<DemandSum> out;
    out.reserve(byRing.size());
    for (const auto& [ring, sum] : byRing) out.push_back(sum);
    return out;
}

} // namespace

std::optional<double> indoorShareOf(const Baseline& b, const Plan& plan) {
    if (b.terrain->demand) return std::nullopt;
    return plan.settings->model.indoorShare;
}

DemandRings stepsOf(const Cell& c, PlanePoint at) {
    if (c.load.timingAdvance.size() < 2) return {};
    return {at, timingAdvanceStepM(c.carrier), static_cast<std::uint16_t>(c.load.timingAdvance.size())};
}

DemandRings ringsOf(const Cell& c, PlanePoint at, const ModelSettings& m) {
    double samples = 0;
    for (const double n : c.load.timingAdvance) samples += n;
    if (m.ignoreTimingAdvance || samples < kLeastTimingSamples || !c.load.dlPrbUse) return {};
    return stepsOf(c, at);
}

void addRings(Digester& d, const DemandRings& r) {
    d.add(static_cast<std::uint64_t>(r.count));
    if (r.count > 0) d.add(r.at.x).add(r.at.y).add(r.widthM);
}

void makeScales(Baseline& b, const Plan& plan) {
    std::vector<std::map<std::uint16_t, DemandSum>> totals(b.cells.size()); // by ring
    for (const TilePart& t :
         b.tiles) // always in the order of tiles: the sum is the same however it came about
        for (const DemandSum& s : *t.demand) addTo(totals[s.roster], s);
    const auto indoorShare = indoorShareOf(b, plan);
    b.scales.resize(b.cells.size());
    b.ringShares.resize(b.cells.size());
    for (std::size_t n = 0; n < b.cells.size(); ++n) {
        const std::vector<DemandSum> byRing = listOf(totals[n]);
        std::span<const double> measured;
        if (b.rings[n].count > 0) measured = plan.cells.find(b.cells[n].id)->load.timingAdvance;
        b.scales[n] =
            costScales(b.rings[n], byRing, b.runtime[n].movable, indoorShare, measured, &b.ringShares[n]);
    }
}

CellScales userScalesOf(const Baseline& b, const Plan& plan, std::size_t cell) {
    if (b.runtime[cell].movable > 0) return b.scales[cell];
    DemandSum sum;
    for (const TilePart& t : b.tiles)
        for (const DemandSum& s : *t.demand) {
            if (s.roster != cell) continue;
            sum.indoor += s.indoor;
            sum.outdoor += s.outdoor;
            sum.indoorCost += s.indoorCost;
            sum.outdoorCost += s.outdoorCost;
        }
    return costScales({}, {&sum, 1}, static_cast<std::int64_t>(kPrbUnit), indoorShareOf(b, plan));
}

void findFringes(Baseline& b) {
    std::vector<std::map<std::uint16_t, std::int64_t>> bins(b.cells.size());
    for (const TilePart& t : b.tiles)
        for (const TileCost::Bin& bin : t.cost->bins) bins[bin.roster][bin.bin] += bin.cost;
    b.fringeFrom.resize(b.cells.size());
    b.unspread.resize(b.cells.size());
    Digester d;
    d.add(b.modelDigest);
    for (std::size_t n = 0; n < b.cells.size(); ++n) {
        const std::vector<std::pair<std::uint16_t, std::int64_t>> list(bins[n].begin(), bins[n].end());
        b.fringeFrom[n] = fringeFrom(list);
        std::int64_t spread = 0;
        for (const auto& [bin, cost] : list) spread += cost;
        b.unspread[n] = b.runtime[n].movable - spread;
        d.add(b.fringeFrom[n]).add(b.cells[n].id.v).add(b.runtime[n].total);
    }
    for (const TilePart& t : b.tiles) d.add(t.cost->digest);
    b.digest = d.done();
}

std::optional<Study::UserDistances> Study::userDistances(ItemId id) const {
    const Baseline& b = *m_core->base;
    const int n = m_core->cellIndex(id);
    const Cell* cell = m_core->plan.cells.find(id);
    if (n < 0 || !cell || cell->load.timingAdvance.size() < 2) return std::nullopt;
    const auto at = static_cast<std::size_t>(n);
    const auto antenna = static_cast<std::size_t>(b.runtime[at].antenna);
    UserDistances out;
    for (const double count : cell->load.timingAdvance) out.samples += count;
    out.raked = b.rings[at].count > 0;
    RingShares shares = b.ringShares[at];
    const DemandRings steps = stepsOf(*cell, b.antennas[antenna]->antenna.at);
    if (!out.raked) { // not by step yet: nothing rests on it
        std::vector<DemandRings> only(b.cells.size());
        only[at] = steps;
        std::map<std::uint16_t, DemandSum> byRing;
        for (const TilePart& t : b.tiles)
            for (const DemandSum& s : demandIn(*t.receivers, *t.levels, only, *b.tables))
                if (s.roster == at) addTo(byRing, s);
        (void)costScales(steps, listOf(byRing), b.runtime[at].movable, indoorShareOf(b, m_core->plan), {},
                         &shares);
        shares.measured = cell->load.timingAdvance;
        for (std::size_t k = 0; k < shares.measured.size(); ++k) {
            if (out.samples > 0) shares.measured[k] /= out.samples;
            if (shares.modelled[k] <= 0) shares.unreached += shares.measured[k];
        }
    }
    out.stepM = steps.widthM;
    out.measured = std::move(shares.measured);
    out.modelled = std::move(shares.modelled);
    out.spread = std::move(shares.raked);
    out.unreached = shares.unreached;
    return out;
}

} // namespace fw
