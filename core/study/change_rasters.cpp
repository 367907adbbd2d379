// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/change_rasters.h"

#include "base/parallel.h"
#include "study/ledger.h"
#include "study/roof_map.h"

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

bool isLayer(const Baseline& b, int layer) { return layer < static_cast<int>(b.layers.size()); }
bool wanted(int layer, std::size_t k) { return layer < 0 || layer == static_cast<int>(k); }

// What one more user gets of a cell at an efficiency of 1 bit/s/Hz: kbit/s, or kNoRate.
std::vector<double> freeOf(const StudyCore& core, const Ledger& ledger, Moment moment) {
    std::vector<double> out(core.base->cells.size(), kNoRate);
    for (const LedgerLine& line : ledger.cells) {
        const auto n = static_cast<std::size_t>(core.cellIndex(line.cell));
        const MacroCell& c = core.base->cells[n];
        const Cell* cell = core.plan.cells.find(c.id);
        const int scs = cell ? std::max(15, cell->carrier.scsKHz) : 15;
        const double use = moment == Moment::before ? line.before : line.after;
        out[n] = c.resourceBlocks * 12.0 * scs * c.downlinkShare * std::clamp(1 - use, 0.0, 1.0);
    }
    return out;
}

std::vector<double> freeOfSmalls(const StudyCore& core, const Ledger& ledger) {
    std::vector<double> out(core.smalls.size(), kNoRate);
    for (const SmallCellUse& u : ledger.smalls) {
        const auto n = static_cast<std::size_t>(core.smallIndex(u.small));
        const SmallCellPart& s = core.smalls[n];
        out[n] = s.resourceBlocks * 12.0 * std::max(15, s.carrier.scsKHz) * s.carrier.downlinkShare *
                 std::clamp(1 - u.use, 0.0, 1.0);
    }
    return out;
}

// The small cells over one tile: what each channel carries at its pixels, and who is strongest.
struct SmallsAbove {
    std::vector<std::vector<std::int64_t>> power; ///< by channel; empty where nothing reaches
    struct Best {
        int compared = kNoLevel;  ///< level shown, bias counted
        int level = kNoLevel;     ///< as the study keeps it
        int strongest = kNoLevel; ///< level shown of the strongest without bias, perhaps another cell
        std::uint16_t small = 0;
    };
    std::vector<Best> best;
};

class TileMaker {
public:
    TileMaker(const StudyCore& core, int layer, Moment moment, const Ledger& ledger)
        : m_core(core), m_base(*core.base), m_layer(layer), m_freeMacro(freeOf(core, ledger, moment)) {
        if (moment == Moment::before) return;
        m_sources = core.sources();
        m_freeSmall = freeOfSmalls(core, ledger);
    }

    [[nodiscard]] RadioRaster make(std::size_t t) const {
        const TilePart& part = m_base.tiles[t];
        RadioRaster r;
        r.key = part.receivers->key;
        r.levelCenti.assign(kTilePixelCount, static_cast<std::int16_t>(kNothingHeard));
        r.server.assign(kTilePixelCount, kNoServer);
        r.sinrCenti.assign(kTilePixelCount, static_cast<std::int16_t>(kNothingHeard));
        r.rateKbps.assign(kTilePixelCount, kNoRate);
        const auto near = m_core.meeting(r.key, m_sources);
        const SmallsAbove above = near.empty() ? SmallsAbove{} : gather(r.key, near);
        for (std::size_t i = 0; i < kTilePixelCount; ++i) pixel(r, part, above, i);
        return r;
    }

private:
    [[nodiscard]] SmallsAbove gather(TileKey key, const std::vector<SmallSource>& near) const {
        SmallsAbove out;
        out.power.resize(m_core.channels.size());
        out.best.resize(kTilePixelCount);
        const int tx = key.x * kTilePixels, ty = key.y * kTilePixels;
        std::array<std::int16_t, kTilePixels> row{};
        for (const SmallSource& s : near) {
            const SmallPath& p = *s.path;
            const int c0 = std::max(tx, p.pixelX - p.radius),
                      c1 = std::min(tx + kTilePixels - 1, p.pixelX + p.radius);
            const int r0 = std::max(ty, p.pixelY - p.radius),
                      r1 = std::min(ty + kTilePixels - 1, p.pixelY + p.radius);
            if (c0 > c1 || r0 > r1) continue; // only users indoors
            auto& power = out.power[static_cast<std::size_t>(s.channel)];
            if (power.empty()) power.assign(kTilePixelCount, 0);
            for (int y = r0; y <= r1; ++y) {
                smallLevelRow(s, y - p.pixelY, c0 - p.pixelX, c1 - p.pixelX, row.data());
                for (int x = c0; x <= c1; ++x) {
                    const int level = row[static_cast<std::size_t>(x - c0)];
                    if (level == kNoLevel) continue;
                    const auto i = static_cast<std::size_t>((y - ty) * kTilePixels + x - tx);
                    power[i] += (m_base.tables->power(level) * s.share) >> 16;
                    if (m_layer < 0 || s.layer == m_layer) compare(out.best[i], s, level);
                }
            }
        }
        return out;
    }

    void compare(SmallsAbove::Best& best, const SmallSource& s, int level) const {
        const int shown = level + m_core.smallRuntime[s.index].scsCenti;
        best.strongest = std::max(best.strongest, shown);
        if (shown + s.biasCenti <= best.compared) return; // near is ascending: of equals the first
        best.compared = shown + s.biasCenti;
        best.level = level;
        best.small = s.index;
    }

    void pixel(RadioRaster& r, const TilePart& part, const SmallsAbove& above, std::size_t i) const {
        int macro = kNoLevel;
        std::size_t layer = 0;
        for (std::size_t k = 0; k < part.levels->layers.size(); ++k) {
            const LayerLevels& l = part.levels->layers[k];
            if (!wanted(m_layer, k) || l.empty() || !l.strongest[0][i]) continue;
            const ServingKey key = l.strongest[0][i];
            const int level = levelOf(key) + m_base.runtime[rosterOf(key)].scsCenti;
            if (level <= macro) continue;
            macro = level;
            layer = k;
        }
        const bool open = part.receivers->openCells[i] != 0;
        if (open) r.rateKbps[i] = 0;
        const auto* small = above.best.empty() ? nullptr : &above.best[i];
        const int heard = small ? std::max(macro, small->strongest) : macro;
        if (heard == kNoLevel) return;
        r.levelCenti[i] = static_cast<std::int16_t>(std::clamp(heard, -32000, 32000));
        if (small && small->compared > macro)
            smallServes(r, part, above, i);
        else
            macroServes(r, part.levels->layers[layer], layer, above, i);
    }

    void macroServes(RadioRaster& r, const LayerLevels& l, std::size_t layer, const SmallsAbove& above,
                     std::size_t i) const {
        const ServingKey key = l.strongest[0][i];
        r.server[i] = rosterOf(key);
        if (l.sinr[i] == kNoLevel) return;
        int sinr = l.sinr[i];
        const int channel = m_core.channelOfLayer.empty() ? -1 : m_core.channelOfLayer[layer];
        const std::int64_t more = channel < 0 || above.power.empty() ? 0 : powerOf(above, channel, i);
        if (more > 0)
            sinr = levelOf(key) -
                   m_base.tables->centiOf(interferenceOf(l, i, m_base.shares, *m_base.tables) + more);
        finish(r, i, sinr, m_freeMacro[rosterOf(key)]);
    }

    void smallServes(RadioRaster& r, const TilePart& part, const SmallsAbove& above, std::size_t i) const {
        const SmallsAbove::Best& best = above.best[i];
        const SmallSource& s = m_sources[best.small];
        const ModelTables& t = *m_base.tables;
        r.server[i] = kSmallServer | best.small;
        if (best.level < t.servedFromCenti()) {
            r.rateKbps[i] = 0;
            return;
        }
        std::int64_t heard =
            t.noise() + powerOf(above, s.channel, i) - ((t.power(best.level) * s.share) >> 16);
        if (s.layer >= 0) {
            const LayerLevels& l = part.levels->layers[static_cast<std::size_t>(s.layer)];
            if (!l.empty()) heard += l.power[i];
        }
        finish(r, i, best.level - t.centiOf(heard), m_freeSmall[best.small]);
    }

    void finish(RadioRaster& r, std::size_t i, int sinr, double freeKbps) const {
        r.sinrCenti[i] = static_cast<std::int16_t>(std::clamp(sinr, -32000, 32000));
        r.rateKbps[i] =
            freeKbps < 0 ? kNoRate : static_cast<std::int32_t>(freeKbps * m_base.tables->efficiency(sinr));
    }

    static std::int64_t powerOf(const SmallsAbove& above, int channel, std::size_t i) {
        const auto& power = above.power[static_cast<std::size_t>(channel)];
        return power.empty() ? 0 : power[i];
    }

    const StudyCore& m_core;
    const Baseline& m_base;
    int m_layer;
    std::vector<double> m_freeMacro, m_freeSmall;
    std::vector<SmallSource> m_sources; ///< empty before
};

// Points taken off and put on by receiver of one tile; both empty where no small cell reaches.
struct ReceiverChange {
    std::vector<double> relief, harm;
};

class CostChangeMaker {
public:
    CostChangeMaker(const StudyCore& core, int layer)
        : m_core(core), m_base(*core.base), m_layer(layer), m_sources(core.sources()), m_roofs(m_base),
          m_relief(m_roofs.buildings().size(), 0), m_harm(m_relief) {
        const double cap = core.plan.settings->model.smallUseCap;
        for (const double use : usesOf(core, core.sums())) m_counted.push_back(use > cap ? cap / use : 1);
    }

    std::vector<CostChange> make(unsigned threads, const Job& job) {
        std::vector<CostChange> out(m_base.tiles.size());
        std::vector<ReceiverChange> changes(out.size());
        parallelFor(out.size(), threads, [&](std::size_t t) {
            if (!job.stopped()) changes[t] = changeIn(t);
        });
        // Buildings reach over the rims of tiles: their sums in one order.
        for (std::size_t t = 0; t < out.size() && !job.stopped(); ++t) {
            out[t].key = m_base.tiles[t].receivers->key;
            out[t].reliefPerHa.assign(kTilePixelCount, 0);
            out[t].harmPerHa.assign(kTilePixelCount, 0);
            take(out[t], t, changes[t]);
        }
        for (std::size_t t = 0; t < out.size() && !job.stopped(); ++t)
            for (const RoofMap::Patch& p : m_roofs.patches(t)) {
                const double part = static_cast<double>(p.cells) / m_roofs.buildings()[p.building].cells;
                put(out[t], p.pixel, m_relief[p.building] * part, m_harm[p.building] * part);
            }
        return job.stopped() ? std::vector<CostChange>{} : out;
    }

private:
    [[nodiscard]] ReceiverChange changeIn(std::size_t t) const {
        ReceiverChange out;
        const TileView v = m_core.view(t, m_sources);
        const auto near = m_core.meeting(v.receivers->key, m_sources);
        if (near.empty()) return out;
        const TileSmalls smalls = gatherSmalls(*v.receivers, *v.levels, near,
                                               static_cast<int>(m_core.channels.size()), *m_base.tables);
        out.relief.assign(v.receivers->size(), 0);
        out.harm.assign(v.receivers->size(), 0);
        std::vector<std::int64_t> power(smalls.channels.size(), 0);
        for (std::size_t i = 0; i < v.receivers->size(); ++i) {
            if (v.receivers->weightOf(i) <= 0) continue;
            for (std::size_t c = 0; c < power.size(); ++c)
                power[c] = smalls.channels[c].empty() ? 0 : smalls.channels[c][i];
            for (std::size_t k = 0; k < v.levels->layers.size(); ++k)
                if (wanted(m_layer, k) && !smalls.layers[k].empty()) receiver(out, v, smalls, power, i, k);
        }
        return out;
    }

    void receiver(ReceiverChange& out, const TileView& v, const TileSmalls& smalls,
                  const std::vector<std::int64_t>& power, std::size_t i, std::size_t k) const {
        if (v.cost->layers[k][i] <= 0) return;
        const TopTwo& top = smalls.layers[k][i];
        const Division d = divideAt(v, i, k, top, power, m_core.channelOfLayer);
        const std::uint16_t macro = rosterOf(v.levels->layers[k].strongest[0][i]);
        const double point = 100 / (kPrbUnit * m_base.cells[macro].resourceBlocks);
        if (top.first.any())
            out.relief[i] += static_cast<double>(d.relief[0]) * m_counted[top.first.small] * point;
        if (top.second.any())
            out.relief[i] += static_cast<double>(d.relief[1]) * m_counted[top.second.small] * point;
        out.harm[i] += static_cast<double>(d.harm) * point;
    }

    void take(CostChange& out, std::size_t t, const ReceiverChange& c) {
        if (c.relief.empty()) return;
        for (std::size_t i = 0; i < kTilePixelCount; ++i) put(out, i, c.relief[i], c.harm[i]);
        const auto& indoor = m_base.tiles[t].receivers->indoor;
        for (std::size_t n = 0; n < indoor.size(); ++n) {
            const auto at = static_cast<std::size_t>(m_roofs.place(indoor[n].building));
            m_relief[at] += c.relief[kTilePixelCount + n];
            m_harm[at] += c.harm[kTilePixelCount + n];
        }
    }

    static void put(CostChange& out, std::size_t i, double relief, double harm) {
        out.reliefPerHa[i] += static_cast<float>(relief * kPixelsInHectare);
        out.harmPerHa[i] += static_cast<float>(harm * kPixelsInHectare);
    }

    const StudyCore& m_core;
    const Baseline& m_base;
    int m_layer;
    std::vector<SmallSource> m_sources;
    std::vector<double> m_counted; ///< by small cell: share of its relief that the ledger counts
    RoofMap m_roofs;
    std::vector<double> m_relief, m_harm; ///< by building, points
};

} // namespace

Digest changeDigest(const Study& study) {
    const StudyCore& core = study.core();
    const ModelSettings& m = core.plan.settings->model;
    Digester d;
    d.add(groundDigest(study)).add(core.base->modelDigest);
    for (const double v : {m.servedFromDbm, m.macroSigmaDb, m.smallSigmaDb, m.smallUsePlanned, m.smallUseCap,
                           m.ownCarrierFromDbm, m.ownCarrierShare})
        d.add(v);
    for (const MacroCell& c : core.base->cells) d.add(c.use.value_or(-1)).add(c.downlinkShare);
    for (std::size_t n = 0; n < core.smalls.size(); ++n) {
        const SmallCellPart& s = core.smalls[n];
        d.add(s.id.v).add(s.chosen).add(core.smallRuntime[n].key).add(s.resourceBlocks);
        d.add(s.carrier.scsKHz).add(s.carrier.downlinkShare);
    }
    return d.done();
}

std::vector<RadioRaster> radioRasters(const Study& study, int layer, Moment moment, unsigned threads,
                                      const Job& job) {
    const Baseline& b = *study.core().base;
    if (b.layers.empty() || !isLayer(b, layer)) return {};
    const TileMaker maker(study.core(), layer, moment, study.live());
    std::vector<RadioRaster> out(b.tiles.size());
    parallelFor(out.size(), threads, [&](std::size_t t) {
        if (!job.stopped()) out[t] = maker.make(t);
    });
    return job.stopped() ? std::vector<RadioRaster>{} : out;
}

std::vector<CostChange> costChanges(const Study& study, int layer, unsigned threads, const Job& job) {
    const Baseline& b = *study.core().base;
    if (b.layers.empty() || !isLayer(b, layer)) return {};
    return CostChangeMaker(study.core(), layer).make(threads, job);
}

} // namespace fw
