// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/user_rates.h"

#include "base/parallel.h"
#include "base/text.h"
#include "base/units.h"
#include "plan/model_words.h"
#include "study/ledger.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <numeric>

namespace fw {
namespace {

constexpr int kLeastCenti = -2000, kMostCenti = 4000, kBinCenti = 10;
constexpr std::size_t kBins = (kMostCenti - kLeastCenti) / kBinCenti + 1;
constexpr double kLowShare = 0.05;

// Bits by SINR, as whole numbers: the sum over tiles has no order.
struct Spread {
    std::vector<std::int64_t> before = std::vector<std::int64_t>(kBins, 0), after = before;
};
using Spreads = std::map<std::uint16_t, Spread>;                  // by macro
using Taken = std::map<std::uint16_t, std::vector<std::int64_t>>; // by small cell

std::size_t rateBin(int centi) {
    const int held = std::clamp(centi, kLeastCenti, kMostCenti) - kLeastCenti;
    return static_cast<std::size_t>((held + kBinCenti / 2) / kBinCenti);
}

class RateMaker {
public:
    RateMaker(const Study& study, const Ledger& ledger)
        : m_core(study.core()), m_base(*m_core.base), m_ledger(ledger), m_sources(m_core.sources()) {
        m_counted.assign(m_sources.size(), 1);
        ledger.kind == Ledger::Kind::settled ? takeSettled() : takeLive();
    }

    std::vector<UserRates> make(unsigned threads, const Job& job) {
        std::vector<Spreads> parts(m_base.tiles.size());
        parallelFor(parts.size(), threads, [&](std::size_t t) {
            if (job.stopped()) return;
            forLoads(t, [&](const Place& p) { put(parts[t][p.macro], p.load, p.top); });
        });
        if (job.stopped()) return {};
        Spreads all;
        for (const Spreads& part : parts)
            for (const auto& [cell, spread] : part) {
                Spread& sum = all[cell];
                for (std::size_t i = 0; i < kBins; ++i) {
                    sum.before[i] += spread.before[i];
                    sum.after[i] += spread.after[i];
                }
            }
        std::vector<UserRates> out;
        for (const LedgerLine& line : m_ledger.cells) {
            const auto n = m_core.cellIndex(line.cell);
            const auto it = all.find(static_cast<std::uint16_t>(n));
            if (n >= 0 && it != all.end()) out.push_back(ratesOfCell(line, it->second));
        }
        return out;
    }

    std::vector<SmallRates> makeSmalls(unsigned threads, const Job& job) {
        std::vector<Taken> parts(m_base.tiles.size());
        parallelFor(parts.size(), threads, [&](std::size_t t) {
            if (job.stopped()) return;
            forLoads(t, [&](const Place& p) { putTaken(parts[t], p); });
        });
        if (job.stopped()) return {};
        Taken all;
        for (const Taken& part : parts)
            for (const auto& [small, bins] : part) {
                auto& sum = all.try_emplace(small, kBins, 0).first->second;
                for (std::size_t i = 0; i < kBins; ++i) sum[i] += bins[i];
            }
        std::vector<SmallRates> out;
        for (const SmallCellUse& u : m_ledger.smalls) {
            const auto it = all.find(static_cast<std::uint16_t>(m_core.smallIndex(u.small)));
            if (it == all.end()) continue;
            const std::int64_t bits = std::accumulate(it->second.begin(), it->second.end(), std::int64_t{0});
            if (bits > 0) out.push_back(ratesOfSmall(u, it->second, bits));
        }
        return out;
    }

private:
    // One receiver in one layer that has cost there.
    struct Place {
        std::uint16_t macro = 0;
        ReceiverLoad load;
        const TopTwo& top;
        std::array<std::int64_t, 2> ownPower{}; // of the candidates' channels
    };

    // Neighbours at their measured loads; over its cap a small cell's relief counts by cap over use.
    void takeLive() {
        for (const SmallCellUse& u : m_ledger.smalls)
            if (u.use > u.cap)
                m_counted[static_cast<std::size_t>(m_core.smallIndex(u.small))] = u.cap / u.use;
    }

    // Loads, biases and powers that agree with each other.
    void takeSettled() {
        const ModelSettings& m = m_core.plan.settings->model;
        for (const SmallCellUse& u : m_ledger.smalls) {
            const auto n = static_cast<std::size_t>(m_core.smallIndex(u.small));
            SmallSource& s = m_sources[n];
            const Radio* r = m_core.plan.radios.find(m_core.smalls[n].radio);
            s.biasCenti = centiOf(u.biasDb);
            s.baseCenti -= centiOf(u.powerDownDb);
            s.share = sendingShare(std::clamp(u.use, 0.0, 1.0),
                                   idleFloorOf(m, m_core.smalls[n].carrier.technology, r ? r->ports : 2));
        }
        m_sharesNow = m_base.shares;
        for (const LedgerLine& line : m_ledger.cells) {
            const auto n = static_cast<std::size_t>(m_core.cellIndex(line.cell));
            const Cell* c = m_core.plan.cells.find(line.cell);
            const Technology tech = c ? c->carrier.technology : Technology::lte;
            m_sharesNow[n] =
                sendingShare(std::clamp(line.after, 0.0, 1.0), idleFloorOf(m, tech, c ? c->ports : 2));
        }
    }

    template <class Body>
    void forLoads(std::size_t t, Body&& body) const {
        TileView v = m_core.view(t, m_sources);
        v.sharesNow = m_sharesNow;
        const auto near = m_core.meeting(v.receivers->key, m_sources);
        const TileSmalls smalls = gatherSmalls(*v.receivers, *v.levels, near,
                                               static_cast<int>(m_core.channels.size()), *m_base.tables);
        const TopTwo nobody;
        for (std::size_t i = 0; i < v.receivers->size(); ++i) {
            if (v.receivers->weightOf(i) <= 0) continue;
            for (std::size_t k = 0; k < v.levels->layers.size(); ++k) {
                if (v.levels->layers[k].empty() || v.cost->layers[k][i] <= 0) continue;
                const int own = m_core.channelOfLayer[k];
                const auto* power = own < 0 ? nullptr : &smalls.channels[static_cast<std::size_t>(own)];
                const ReceiverLoad load = loadAt(v, i, k, power && !power->empty() ? (*power)[i] : 0);
                const TopTwo& top = smalls.layers[k].empty() ? nobody : smalls.layers[k][i];
                Place p{rosterOf(v.levels->layers[k].strongest[0][i]), load, top};
                for (const auto& [c, n] : {std::pair{&top.first, 0u}, std::pair{&top.second, 1u}})
                    if (c->any())
                        p.ownPower[n] =
                            smalls.channels[static_cast<std::size_t>(m_sources[c->small].channel)][i];
                body(p);
            }
        }
    }

    // A receiver's bits are its cost over what a bit costs there.
    void put(Spread& spread, const ReceiverLoad& load, const TopTwo& top) const {
        const ModelTables& t = *m_base.tables;
        const double bits = static_cast<double>(load.cost) / t.meanPerEfficiency(load.sinr);
        const Stayers stay = stayers(load, top, m_sources, m_counted, t);
        for (std::size_t q = 0; q < kPoints; ++q) {
            const double part = bits * ModelTables::kPointWeight[q] / kChanceOne;
            spread.before[rateBin(load.sinr + t.macroCenti(q))] += static_cast<std::int64_t>(part);
            spread.after[rateBin(stay.sinr[q])] += static_cast<std::int64_t>(part * stay.share[q]);
        }
    }

    void putTaken(Taken& taken, const Place& p) const {
        if (!p.top.first.any()) return;
        const ModelTables& t = *m_base.tables;
        const double bits = static_cast<double>(p.load.cost) / t.meanPerEfficiency(p.load.sinr);
        const Movers moved = movers(p.load, p.top, p.ownPower, m_sources, t);
        for (const auto& [c, n] : {std::pair{&p.top.first, 0u}, std::pair{&p.top.second, 1u}}) {
            if (!c->any()) continue;
            auto& bins = taken.try_emplace(c->small, kBins, 0).first->second;
            for (std::size_t q = 0; q < kPoints; ++q)
                for (const int sinr : moved.sinr[n][q])
                    bins[rateBin(sinr)] += static_cast<std::int64_t>(
                        bits * 0.5 * moved.share[n][q] * ModelTables::kPointWeight[q] / kChanceOne);
        }
    }

    // Of a sum over bins: the first where the share below it is reached.
    [[nodiscard]] UserRate rateAt(const std::vector<std::int64_t>& bins, std::int64_t all, double share,
                                  double freeMbps) const {
        const double wanted = static_cast<double>(all) * share;
        std::int64_t below = 0;
        std::size_t bin = 0;
        for (; bin + 1 < kBins; ++bin) {
            below += bins[bin];
            if (static_cast<double>(below) >= wanted && below > 0) break;
        }
        const int centi = kLeastCenti + static_cast<int>(bin) * kBinCenti;
        const double efficiency = m_base.tables->efficiency(centi);
        return {centi / 100.0, efficiency, efficiency * freeMbps};
    }

    [[nodiscard]] UserRatePair pairOf(const std::vector<std::int64_t>& bins, std::int64_t all,
                                      double freeMbps) const {
        return {rateAt(bins, all, 0.5, freeMbps), rateAt(bins, all, kLowShare, freeMbps)};
    }

    [[nodiscard]] UserRates ratesOfCell(const LedgerLine& line, const Spread& spread) const {
        const MacroCell& c = m_base.cells[static_cast<std::size_t>(m_core.cellIndex(line.cell))];
        const Cell* cell = m_core.plan.cells.find(line.cell);
        UserRates out;
        out.cell = line.cell;
        out.useBefore = line.before;
        out.useAfter = line.after;
        // 12 subcarriers a PRB; kHz at 1 bit/s/Hz are kbit/s.
        out.perEfficiencyMbps = c.resourceBlocks * 12.0 * (cell ? std::max(15, cell->carrier.scsKHz) : 15) *
                                c.downlinkShare / 1000;
        std::int64_t before = 0, after = 0;
        for (std::size_t i = 0; i < kBins; ++i) {
            before += spread.before[i];
            after += spread.after[i];
        }
        const auto free = [&](double use) { return out.perEfficiencyMbps * std::clamp(1 - use, 0.0, 1.0); };
        out.before = pairOf(spread.before, before, free(out.useBefore));
        out.stay = before > 0 ? static_cast<double>(after) / static_cast<double>(before) : 1;
        if (after > 0) out.after = pairOf(spread.after, after, free(out.useAfter));
        return out;
    }

    [[nodiscard]] SmallRates ratesOfSmall(const SmallCellUse& u, const std::vector<std::int64_t>& bins,
                                          std::int64_t bits) const {
        const SmallCellPart& part = m_core.smalls[static_cast<std::size_t>(m_core.smallIndex(u.small))];
        SmallRates out;
        out.small = u.small;
        out.use = m_ledger.kind == Ledger::Kind::live ? std::min(u.use, u.cap) : u.use;
        out.perEfficiencyMbps = part.resourceBlocks * 12.0 * std::max(15, part.carrier.scsKHz) *
                                part.carrier.downlinkShare / 1000;
        out.now = pairOf(bins, bits, out.perEfficiencyMbps * std::clamp(1 - out.use, 0.0, 1.0));
        return out;
    }

    const StudyCore& m_core;
    const Baseline& m_base;
    const Ledger& m_ledger;
    std::vector<SmallSource> m_sources;
    std::vector<double> m_counted;         // by small cell: share of what it takes that the ledger counts
    std::vector<std::int64_t> m_sharesNow; // empty: as at the baseline
};

// `when` with its colon, or empty.
void addUser(Working& w, const std::string& when, const UserRate& rate, double use) {
    w.steps.push_back({when + CORE_TEXT("free share of PRB"), "1 - use", std::max(0.0, 1 - use) * 100, "%"});
    w.steps.push_back({when + CORE_TEXT("SINR of that user"), "", rate.sinrDb, "dB"});
    w.steps.push_back({when + CORE_TEXT("spectral efficiency"), "", rate.efficiency, "bit/s/Hz"});
    w.steps.push_back(
        {when + CORE_TEXT("what that user gets"), "free share x all PRB x efficiency", rate.mbps, "Mbit/s"});
}

std::string titleOf(const std::string& cell, bool median) {
    return fmt::format("What {} of {} get", median ? "half of the users" : "five in a hundred users", cell);
}

constexpr const char* kAllPrb = CORE_TEXT("PRB x 12 subcarriers x spacing x downlink's share of time");
constexpr const char* kSource =
    CORE_TEXT("efficiency as the plan's settings choose it; what a user gets is our own judgement: "
              "the free share of PRB times what they carry, one stream, shadowing in; quantiles over "
              "the bits of the busy hour");
constexpr const char* kOneMore =
    CORE_TEXT("One more user who asks for all that is free; with several at once each gets a part. Measured "
              "user throughput counts otherwise, and is not to be held against it to the digit.");

} // namespace

std::vector<UserRates> userRates(const Study& study, const Ledger& ledger, unsigned threads, const Job& job) {
    return RateMaker(study, ledger).make(threads, job);
}

std::vector<SmallRates> smallRates(const Study& study, const Ledger& ledger, unsigned threads,
                                   const Job& job) {
    return RateMaker(study, ledger).makeSmalls(threads, job);
}

const UserRates* ratesOf(const std::vector<UserRates>& all, ItemId cell) {
    const auto it = std::lower_bound(all.begin(), all.end(), cell,
                                     [](const UserRates& r, ItemId id) { return r.cell < id; });
    return it != all.end() && it->cell == cell ? &*it : nullptr;
}

const SmallRates* ratesOf(const std::vector<SmallRates>& all, ItemId small) {
    const auto it = std::lower_bound(all.begin(), all.end(), small,
                                     [](const SmallRates& r, ItemId id) { return r.small < id; });
    return it != all.end() && it->small == small ? &*it : nullptr;
}

Working workingOfRates(const Study& study, const UserRates& rates, bool median) {
    Working w;
    w.title = titleOf(study.plan().label(rates.cell), median);
    w.inputs.push_back({CORE_TEXT("use before"), rates.useBefore * 100, "%", CORE_TEXT("measured")});
    w.inputs.push_back({CORE_TEXT("use after"), rates.useAfter * 100, "%", CORE_TEXT("ledger")});
    w.inputs.push_back({CORE_TEXT("all PRB"), rates.perEfficiencyMbps, "MHz", kAllPrb});
    addUser(w, "before: ", median ? rates.before.median : rates.before.low, rates.useBefore);
    w.steps.push_back({CORE_TEXT("share of the users' bits that stays"), "", rates.stay * 100, "%"});
    if (rates.after)
        addUser(w, "after: ", median ? rates.after->median : rates.after->low, rates.useAfter);
    else
        w.remarks.emplace_back(
            CORE_TEXT("Small cells take all of its users, so that nobody gets anything after."));
    w.source = kSource;
    w.remarks.push_back(modelsSentence(study.plan().settings->model));
    w.remarks.emplace_back(kOneMore);
    if (rates.useBefore >= 1 || rates.useAfter >= 1)
        w.remarks.emplace_back(CORE_TEXT("A full cell has nothing free: 0 Mbit/s."));
    return w;
}

Working workingOfRates(const Study& study, const SmallRates& rates, bool median) {
    Working w;
    w.title = titleOf(study.plan().label(rates.small), median);
    w.inputs.push_back({CORE_TEXT("own use"), rates.use * 100, "%", CORE_TEXT("ledger")});
    w.inputs.push_back({CORE_TEXT("all PRB"), rates.perEfficiencyMbps, "MHz", kAllPrb});
    addUser(w, "", median ? rates.now.median : rates.now.low, rates.use);
    w.source = kSource;
    w.remarks.push_back(modelsSentence(study.plan().settings->model));
    w.remarks.emplace_back(CORE_TEXT("Of those that it takes, wherever they came from, at the SINR that they "
                                     "have at it given that they moved."));
    w.remarks.emplace_back(kOneMore);
    return w;
}

} // namespace fw
