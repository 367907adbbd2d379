// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/uplink.h"

#include "base/log_exp.h"
#include "base/parallel.h"
#include "base/text.h"
#include "base/units.h"
#include "radio/throughput.h"
#include "study/cost_spread.h"
#include "study/ledger.h"

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

constexpr int kPathSteps = 25001;    // path loss of 0 to 250 dB in 0.01 dB
constexpr double kLeastSinrDb = -10; // TR 36.942, Annex A

double spacingDb(int scsKHz) { return decibels(std::max(15, scsKHz) / 15.0); }

// uplinkUser() as look-up by path loss in 0.01 dB. Both shares begin at a path loss and never end.
struct Curve {
    std::vector<double> perEfficiency;
    int fullFrom = kPathSteps, edgeFrom = kPathSteps;

    Curve(const UplinkSettings& o, int scsKHz) : perEfficiency(kPathSteps) {
        for (int c = kPathSteps - 1; c >= 0; --c) {
            const UplinkUser u = uplinkUser(c / 100.0, o, scsKHz);
            perEfficiency[static_cast<std::size_t>(c)] = 1 / u.efficiency;
            if (u.fullPower) fullFrom = c;
            if (u.voiceSinrDb < o.voiceFromSinrDb) edgeFrom = c;
        }
    }
    [[nodiscard]] double per(int centi) const {
        return perEfficiency[static_cast<std::size_t>(std::clamp(centi, 0, kPathSteps - 1))];
    }
};

// A macro cell as the uplink needs it; none without a measured uplink use.
struct Source {
    const Curve* curve = nullptr;
    int referenceCenti = 0; // less 15 kHz levels: path loss
    CellScales scales;
    std::int64_t total = 0, movable = 0; // 2^-32 PRB
    double perUnit = 0;                  // 2^-32 PRB of a unit of demand over efficiency
};

// Of one macro cell, in one tile or in all.
struct UserSum {
    double demand = 0, cost = 0, full = 0, edge = 0;
};

struct TileParts {
    std::vector<std::int64_t> cost;               // by macro
    std::map<std::uint32_t, std::int64_t> relief; // by TileSums::keyOf
    std::vector<double> heardMw;                  // by small cell: mean in a PRB
};

class Uplink {
public:
    Uplink(const Study& study, const UplinkSettings& settings)
        : m_core(study.core()), m_base(*m_core.base), m_settings(settings), m_sources(m_core.sources()) {
        const double cap = m_core.plan.settings->model.smallUseCap;
        for (const double use : usesOf(m_core, m_core.sums())) m_counts.push_back(use > cap ? cap / use : 1);
        for (std::size_t c = 0; c < m_base.cells.size(); ++c) m_macros.push_back(macro(c));
        for (const SmallCellPart& s : m_core.smalls) {
            m_smallCenti.push_back(centiOf(s.referencePowerDbm));
            m_fullBlockDbm.push_back(settings.maxPowerDbm - decibels(settings.blocks));
        }
    }

    bool compute(unsigned threads, const Job& job) {
        const std::size_t n = m_base.tiles.size();
        std::vector<std::vector<UserSum>> users(n);
        parallelFor(n, threads, [&](std::size_t t) {
            if (!job.stopped()) users[t] = usersIn(m_base.tiles[t]);
        });
        if (job.stopped()) return false;
        m_users.assign(m_macros.size(), {});
        for (const auto& tile : users) // always in the order of tiles
            for (std::size_t c = 0; c < tile.size(); ++c) {
                m_users[c].demand += tile[c].demand;
                m_users[c].cost += tile[c].cost;
                m_users[c].full += tile[c].full;
                m_users[c].edge += tile[c].edge;
            }
        for (std::size_t c = 0; c < m_macros.size(); ++c)
            if (m_users[c].cost > 0)
                m_macros[c].perUnit = static_cast<double>(m_macros[c].movable) / m_users[c].cost;
        std::vector<TileParts> parts(n);
        parallelFor(n, threads, [&](std::size_t t) {
            if (!job.stopped()) parts[t] = partsIn(t);
        });
        if (job.stopped()) return false;
        m_sum.cost.assign(m_macros.size(), 0);
        m_sum.heardMw.assign(m_sources.size(), 0);
        for (const TileParts& p : parts) {
            for (std::size_t c = 0; c < p.cost.size(); ++c) m_sum.cost[c] += p.cost[c];
            for (const auto& [key, relief] : p.relief) m_sum.relief[key] += relief;
            for (std::size_t s = 0; s < p.heardMw.size(); ++s) m_sum.heardMw[s] += p.heardMw[s];
        }
        return true;
    }

    [[nodiscard]] std::vector<UplinkLine> lines() const {
        std::vector<UplinkLine> out;
        for (std::size_t c = 0; c < m_macros.size(); ++c) {
            const Source& m = m_macros[c];
            if (!m.curve) continue;
            const double prb = kPrbUnit * m_base.cells[c].resourceBlocks;
            UplinkLine line;
            line.cell = m_base.cells[c].id;
            line.before = *m_core.plan.cells.find(line.cell)->load.ulPrbUse;
            line.fixed = static_cast<double>(m.total - m_sum.cost[c]) / prb;
            double taken = 0;
            for (const auto& [key, relief] : m_sum.relief) {
                if ((key & 0xffff) != c || relief == 0) continue;
                line.relief.push_back({m_core.smalls[key >> 16].id, static_cast<double>(relief) / prb});
                taken += line.relief.back().use;
            }
            line.after = line.before - taken;
            if (const UserSum& u = m_users[c]; u.demand > 0) {
                line.fullPower = u.full / u.demand;
                line.voiceEdge = u.edge / u.demand;
            }
            out.push_back(std::move(line));
        }
        return out;
    }

    [[nodiscard]] std::vector<UplinkSmall> smalls() const {
        std::vector<UplinkSmall> out;
        std::vector<std::int64_t> most(m_sources.size(), 0);
        std::vector<int> from(m_sources.size(), -1);
        for (const auto& [key, p] : m_core.sums().pairs) {
            const std::size_t s = key >> 16;
            if (p.relief <= most[s]) continue;
            most[s] = p.relief;
            from[s] = static_cast<int>(key & 0xffff);
        }
        for (std::size_t s = 0; s < m_sources.size(); ++s) {
            const SmallCellPart& part = m_core.smalls[s];
            if (!m_sources[s].path || part.layer < 0) continue;
            UplinkSmall u;
            u.small = part.id;
            if (from[s] >= 0) {
                const MacroCell& m = m_base.cells[static_cast<std::size_t>(from[s])];
                u.macro = m.id;
                u.boundaryGapDb = m.referencePowerDbm - part.referencePowerDbm - part.biasDb;
            }
            const double noise = powerRatio(uplinkNoiseDbm(m_settings, part.carrier.scsKHz));
            u.noiseRiseDb = decibels(1 + m_sum.heardMw[s] / noise);
            out.push_back(u);
        }
        return out;
    }

private:
    Source macro(std::size_t c) {
        Source out;
        const MacroCell& part = m_base.cells[c];
        const Cell* cell = m_core.plan.cells.find(part.id);
        if (!cell || !cell->load.ulPrbUse) return out;
        const int scs = std::max(15, cell->carrier.scsKHz);
        out.curve = &m_curves.try_emplace(scs, m_settings, scs).first->second;
        out.referenceCenti = centiOf(part.referencePowerDbm) - m_base.runtime[c].scsCenti;
        out.scales = userScalesOf(m_base, m_core.plan, c);
        const double use = *cell->load.ulPrbUse, prb = kPrbUnit * part.resourceBlocks;
        out.total = static_cast<std::int64_t>(use * prb);
        out.movable = out.total - static_cast<std::int64_t>(std::min(use, m_settings.fixedUse) * prb);
        return out;
    }

    // Calls body(receiver, layer, macro, its path loss, its users' bits) in a fixed order.
    template <class Body>
    void forUsers(const TilePart& t, Body&& body) const {
        const TileReceivers& r = *t.receivers;
        for (std::size_t i = 0; i < r.size(); ++i) {
            const std::int32_t w = r.weightOf(i);
            if (w <= 0) continue;
            for (std::size_t k = 0; k < t.levels->layers.size(); ++k) {
                const LayerLevels& l = t.levels->layers[k];
                if (l.empty() || l.sinr[i] == kNoLevel) continue;
                const std::uint16_t c = rosterOf(l.strongest[0][i]);
                const Source& m = m_macros[c];
                if (!m.curve) continue;
                const std::size_t ring = m.scales.rings.count > 0 ? ringOf(m.scales.rings, r.placeOf(i)) : 0;
                const CostScale& s = m.scales.byRing[ring];
                const double demand =
                    w * m_base.tables->demandFactor(l.sinr[i]) * (i < kTileArea ? s.outdoor : s.indoor);
                if (demand > 0) body(i, k, c, m.referenceCenti - levelOf(l.strongest[0][i]), demand);
            }
        }
    }

    [[nodiscard]] std::vector<UserSum> usersIn(const TilePart& t) const {
        std::vector<UserSum> out(m_macros.size());
        forUsers(t, [&](std::size_t, std::size_t, std::uint16_t c, int path, double demand) {
            const Curve& curve = *m_macros[c].curve;
            out[c].demand += demand;
            out[c].cost += demand * curve.per(path);
            if (path >= curve.fullFrom) out[c].full += demand;
            if (path >= curve.edgeFrom) out[c].edge += demand;
        });
        return out;
    }

    [[nodiscard]] TileParts partsIn(std::size_t tile) const {
        const TilePart& t = m_base.tiles[tile];
        TileParts out;
        out.cost.assign(m_macros.size(), 0);
        out.heardMw.assign(m_sources.size(), 0);
        const auto near = m_core.meeting(t.receivers->key, m_sources);
        const TileSmalls smalls = gatherSmalls(*t.receivers, *t.levels, near,
                                               static_cast<int>(m_core.channels.size()), *m_base.tables);
        forUsers(t, [&](std::size_t i, std::size_t k, std::uint16_t c, int path, double demand) {
            const Source& m = m_macros[c];
            const auto cost = static_cast<std::int64_t>(m.perUnit * demand * m.curve->per(path));
            out.cost[c] += cost;
            std::int64_t stays = cost;
            if (!smalls.layers[k].empty() && smalls.layers[k][i].first.any()) {
                const TopTwo& top = smalls.layers[k][i];
                const auto moved = sharesMoved(top);
                for (const auto& [s, n] : {std::pair{&top.first, 0u}, std::pair{&top.second, 1u}}) {
                    if (!s->any() || moved[n] <= 0) continue;
                    const std::int64_t relief =
                        std::min(stays, static_cast<std::int64_t>(static_cast<double>(cost) * moved[n]));
                    stays -= relief;
                    out.relief[TileSums::keyOf(s->small, c)] += relief;
                }
            }
            if (path < m.curve->fullFrom || stays <= 0) return;
            const double share = static_cast<double>(stays) / (kPrbUnit * m_base.cells[c].resourceBlocks);
            for (const SmallSource& s : near)
                if (s.layer == static_cast<int>(k)) hear(out, s, *t.receivers, i, share);
        });
        return out;
    }

    // Shares of users that go to the two best. divide() counts relief by what users cost in the downlink;
    // where the link is at its cap for all of them that is by heads.
    [[nodiscard]] std::array<double, 2> sharesMoved(const TopTwo& top) const {
        constexpr int kAtCap = 10000;
        const ModelTables& t = *m_base.tables;
        ReceiverLoad load;
        load.cost = std::int64_t{1} << 40;
        load.sinr = kAtCap;
        load.interference = load.heard = std::int64_t{1} << 50;
        const Division d = divide(load, top, {}, m_sources, t);
        const double byHeads =
            t.meanPerEfficiency(kAtCap) / t.perEfficiency(kAtCap) / static_cast<double>(load.cost);
        std::array<double, 2> out{};
        for (const auto& [s, n] : {std::pair{&top.first, 0u}, std::pair{&top.second, 1u}})
            if (s->any()) out[n] = static_cast<double>(d.relief[n]) * byHeads * m_counts[s->small];
        return out;
    }

    void hear(TileParts& out, const SmallSource& s, const TileReceivers& r, std::size_t i,
              double share) const {
        int level = kNoLevel;
        if (i < kTileArea) {
            level = smallLevel(s, r.key.x * kTilePixels + static_cast<int>(i % kTilePixels) - s.path->pixelX,
                               r.key.y * kTilePixels + static_cast<int>(i / kTilePixels) - s.path->pixelY);
        } else {
            const auto& tiles = s.path->indoor;
            const auto t =
                std::find_if(tiles.begin(), tiles.end(), [&](const auto& e) { return e.key == r.key; });
            if (t == tiles.end()) return;
            const auto in = std::lower_bound(t->list.begin(), t->list.end(), i,
                                             [](const auto& e, std::size_t n) { return e.receiver < n; });
            if (in != t->list.end() && in->receiver == i) level = smallLevelIndoor(s, *in);
        }
        if (level == kNoLevel) return;
        const int path = m_smallCenti[s.index] - level - m_core.smallRuntime[s.index].scsCenti;
        out.heardMw[s.index] += share * powerRatio(m_fullBlockDbm[s.index] - path / 100.0);
    }

    const StudyCore& m_core;
    const Baseline& m_base;
    UplinkSettings m_settings;
    std::vector<SmallSource> m_sources;
    std::vector<double> m_counts; // by small cell: what of its relief counts
    std::vector<int> m_smallCenti;
    std::vector<double> m_fullBlockDbm;
    std::map<int, Curve> m_curves; // by subcarrier spacing
    std::vector<Source> m_macros;
    std::vector<UserSum> m_users;
    TileParts m_sum;
};

} // namespace

double uplinkNoiseDbm(const UplinkSettings& o, int scsKHz) {
    return -174 + decibels(12 * 15000.0) + spacingDb(scsKHz) + o.noiseFigureDb;
}

UplinkUser uplinkUser(double pathLossDb, const UplinkSettings& o, int scsKHz) {
    const AttenuatedShannon shannon{0.4, kLeastSinrDb, 2.0};
    UplinkUser u;
    const double wanted = o.p0Dbm + decibels(o.blocks) + spacingDb(scsKHz) + o.alpha * pathLossDb;
    u.fullPower = wanted >= o.maxPowerDbm;
    u.powerDbm = u.fullPower ? o.maxPowerDbm : wanted;
    const double heard = uplinkNoiseDbm(o, scsKHz) + o.iotDb;
    u.sinrDb = u.powerDbm - decibels(o.blocks) - pathLossDb - heard;
    u.efficiency = shannon.spectralEfficiency(std::max(u.sinrDb, kLeastSinrDb));
    u.voiceSinrDb = o.maxPowerDbm - decibels(o.voiceBlocks) - pathLossDb - heard;
    return u;
}

UplinkLedger uplinkLedger(const Study& study, const UplinkSettings& settings, unsigned threads,
                          const Job& job) {
    UplinkLedger out;
    out.settings = settings;
    Uplink uplink(study, settings);
    if (!uplink.compute(threads, job)) return out;
    out.cells = uplink.lines();
    out.smalls = uplink.smalls();
    if (out.cells.empty()) out.remarks.emplace_back(CORE_TEXT("no cell has a measured uplink use"));
    return out;
}

} // namespace fw
