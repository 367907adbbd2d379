// SPDX-License-Identifier: GPL-3.0-or-later
// Demand of one cell fitted to what was measured of it: how much, which share indoors, how far away.
#include "fringe/load_map.h"

#include <algorithm>
#include <array>

namespace fw {
namespace {

constexpr int kRounds = 40;         // of fitting; fixed, so that a result depends on its inputs alone
constexpr double kMostFold = 8;     // by which a ring's share may differ from the model's [own]
constexpr double kHair = 1 - 1e-12; // below the exact scale: rounding must never spread more than there is

using Sides = std::array<double, 2>; // indoors, outdoors

/// A cell's demand by side and ring, and the factors that are sought for both.
struct Fitting {
    std::vector<Sides> demand, cost; // by ring
    Sides side{0, 0};                // factor of a side
    std::vector<double> ring;        // factor of a ring
    Sides share{0, 0};               // wanted of a side
    std::vector<double> wanted;      // of a ring; empty: as it comes

    [[nodiscard]] double shareOf(std::size_t k) const {
        return ring[k] * (side[0] * demand[k][0] + side[1] * demand[k][1]);
    }
    [[nodiscard]] std::vector<double> shares() const {
        std::vector<double> out(demand.size());
        double sum = 0;
        for (std::size_t k = 0; k < out.size(); ++k) sum += out[k] = shareOf(k);
        if (sum > 0)
            for (double& v : out) v /= sum;
        return out;
    }
    void fitSides() {
        for (std::size_t s = 0; s < 2; ++s) {
            double sum = 0;
            for (std::size_t k = 0; k < demand.size(); ++k) sum += ring[k] * demand[k][s];
            side[s] = sum > 0 ? share[s] / sum : 0;
        }
    }
    void fitRings() {
        for (std::size_t k = 0; k < demand.size(); ++k) {
            const double now = shareOf(k);
            if (now > 0) ring[k] *= wanted[k] / now;
        }
    }
};

Fitting fittingOf(std::size_t rings, std::span<const DemandSum> byRing, std::optional<double> indoorShare) {
    Fitting t;
    t.demand.assign(rings, {0, 0});
    t.cost.assign(rings, {0, 0});
    t.ring.assign(rings, 1);
    Sides total{0, 0};
    for (const DemandSum& d : byRing) {
        t.demand[d.ring] = {d.indoor, d.outdoor};
        t.cost[d.ring] = {d.indoorCost, d.outdoorCost};
        total[0] += d.indoor;
        total[1] += d.outdoor;
    }
    const double all = total[0] + total[1];
    if (all <= 0) return t;
    if (total[0] <= 0 || total[1] <= 0)
        t.share = {total[0] > 0 ? 1.0 : 0.0, total[1] > 0 ? 1.0 : 0.0};
    else if (indoorShare)
        t.share = {*indoorShare, 1 - *indoorShare};
    else
        t.share = {total[0] / all, total[1] / all};
    t.fitSides();
    return t;
}

// What the rings are fitted to: the samples where the model has demand, no further from it than is believed.
std::vector<double> wantedShares(const std::vector<double>& modelled, std::span<const double> measured) {
    std::vector<double> out(modelled.size(), 0);
    double reached = 0, sum = 0;
    for (std::size_t k = 0; k < out.size(); ++k)
        if (modelled[k] > 0) reached += measured[k];
    if (reached <= 0) return {};
    for (std::size_t k = 0; k < out.size(); ++k)
        if (modelled[k] > 0)
            sum += out[k] =
                std::clamp(measured[k] / reached, modelled[k] / kMostFold, modelled[k] * kMostFold);
    for (double& v : out) v /= sum;
    return out;
}

void sayShares(RingShares& out, std::span<const double> measured) {
    out.measured.assign(measured.begin(), measured.end());
    double all = 0, lost = 0;
    for (std::size_t k = 0; k < measured.size(); ++k) {
        all += measured[k];
        if (out.modelled[k] <= 0) lost += measured[k];
    }
    if (all <= 0) return;
    for (double& v : out.measured) v /= all;
    out.unreached = lost / all;
}

} // namespace

CellScales costScales(const DemandRings& rings, std::span<const DemandSum> byRing, std::int64_t movable,
                      std::optional<double> indoorShare, std::span<const double> measured,
                      RingShares* shares) {
    CellScales out{rings, std::vector<CostScale>(std::max<std::size_t>(1, rings.count))};
    Fitting t = fittingOf(out.byRing.size(), byRing, indoorShare);
    const std::vector<double> modelled = t.shares();
    if (!measured.empty()) t.wanted = wantedShares(modelled, measured);
    if (!t.wanted.empty())
        for (int round = 0; round < kRounds; ++round) {
            t.fitSides();
            t.fitRings();
        }
    if (shares) {
        shares->modelled = modelled;
        shares->raked = t.shares();
        sayShares(*shares, measured);
    }
    double whole = 0;
    for (std::size_t k = 0; k < t.ring.size(); ++k)
        whole += t.ring[k] * (t.side[0] * t.cost[k][0] + t.side[1] * t.cost[k][1]);
    if (whole <= 0 || movable <= 0) return out;
    const auto m = static_cast<double>(movable);
    for (std::size_t k = 0; k < t.ring.size(); ++k)
        out.byRing[k] = {m * (t.side[0] * t.ring[k]) / whole * kHair,
                         m * (t.side[1] * t.ring[k]) / whole * kHair};
    return out;
}

} // namespace fw
