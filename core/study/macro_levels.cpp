// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/macro_levels.h"

#include "base/loan_pool.h"
#include "base/parallel.h"
#include "base/text.h"
#include "study/cost_spread.h"
#include "study/state.h"

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

using Slices = std::vector<std::shared_ptr<const PathSlice>>; // by place in the antenna's layers

// Slices that are made before levels are made of them: few enough to be small beside the rest, enough to keep
// all threads busy.
constexpr std::size_t kPortionBytes = std::size_t(32) << 20;

double distanceToBox(PlanePoint p, const Box& box) {
    const double dx = std::max({box.x0 - p.x, 0.0, p.x - box.x1}),
                 dy = std::max({box.y0 - p.y, 0.0, p.y - box.y1});
    return std::sqrt(dx * dx + dy * dy);
}

std::size_t bytesOf(const TileReceivers& tile, std::size_t frequencies) {
    return tile.size() * sizeof(std::int16_t) * frequencies + tile.indoor.size() * 2 * sizeof(std::int16_t);
}

// The frequencies of an antenna's layers, with their entry loss.
struct Spectrum {
    Spectrum(const Baseline& b, const AntennaPart& a, const EntryTables& tables) {
        for (const int layer : a.layers) {
            frequencies.push_back(b.layers[static_cast<std::size_t>(layer)].frequency);
            entry.push_back(tables.at(frequencies.back().v).get());
        }
    }
    std::vector<Hertz> frequencies;
    std::vector<const EntryTable*> entry;
};

std::vector<Slices> makeSlices(const Baseline& b, const AntennaPart& a, std::span<const std::size_t> tiles,
                               const EntryTables& tables, MacroScratch& scratch) {
    const Spectrum spectrum(b, a, tables);
    std::vector<const TileReceivers*> receivers;
    for (const std::size_t t : tiles) receivers.push_back(b.tiles[t].receivers.get());
    const auto made =
        macroSlices(*b.surface, a.antenna, spectrum.frequencies, spectrum.entry, receivers, scratch);
    std::vector<Slices> out;
    const auto each = static_cast<std::ptrdiff_t>(spectrum.frequencies.size());
    for (auto from = made.begin(); from != made.end(); from += each) out.emplace_back(from, from + each);
    return out;
}

class Mapper {
public:
    Mapper(Baseline& b, const Baseline* old, const ModelSettings& settings, const StudyOptions& options,
           const EntryTables& entry, const Job& job)
        : m_base(b), m_old(old), m_settings(settings), m_options(options), m_entry(entry), m_job(job),
          m_kept(b.antennas.size(), 0), m_cells(b.antennas.size()) {
        for (const auto& a : b.antennas) {
            m_antennas.push_back(std::make_shared<AntennaPart>(*a));
            m_antennas.back()->antenna.model = settings.macroPath;
        }
        // Cells of one sector stand beside each other, so that angles are looked up once a sector.
        m_order.resize(b.cells.size());
        for (std::size_t i = 0; i < m_order.size(); ++i) m_order[i] = i;
        std::stable_sort(m_order.begin(), m_order.end(), [&](std::size_t x, std::size_t y) {
            return b.runtime[x].sector < b.runtime[y].sector;
        });
        for (const std::size_t n : m_order)
            m_cells[static_cast<std::size_t>(b.runtime[n].antenna)].push_back(n);
    }

    void map() {
        macroAzimuthRow(0); // build the shared table before the threads start
        parallelFor(m_antennas.size(), m_options.threads, [&](std::size_t n) { lookAt(n); });
        if (m_job.stopped()) return; // what was skipped must not be read
        chooseKept();
        keyTiles();
        if (m_job.stopped()) return;
        std::vector<Portion> portion;
        std::size_t bytes = 0;
        for (std::size_t n = 0; n < m_antennas.size(); ++n) {
            Portion one = wanted(n);
            if (one.tiles.empty()) continue;
            for (const std::size_t t : one.tiles)
                bytes += bytesOf(*m_base.tiles[t].receivers, m_antennas[n]->layers.size());
            portion.push_back(std::move(one));
            if (bytes < kPortionBytes) continue;
            addPortion(portion);
            portion.clear();
            bytes = 0;
            if (m_job.stopped()) return;
            m_job.report(0.25 + 0.3 * static_cast<double>(n + 1) / static_cast<double>(m_antennas.size()),
                         CORE_TEXT("looking round from the macros"));
        }
        addPortion(portion);
        if (m_job.stopped()) return;
        m_job.report(0.55, CORE_TEXT("mapping macro levels"));
        publish();
    }

private:
    // An antenna whose slices are needed now.
    struct Portion {
        std::size_t antenna = 0;
        std::vector<std::size_t> tiles; // ascending
        std::vector<Slices> slices;     // in their order
    };

    // Which tiles an antenna reaches, and under which keys.
    void lookAt(std::size_t n) {
        if (m_job.stopped()) return;
        AntennaPart& part = *m_antennas[n];
        const MacroAntenna& a = part.antenna;
        part.tileKeys.assign(m_base.tiles.size(), {});
        part.slices.assign(m_base.tiles.size(), {});
        const Spectrum spectrum(m_base, part, m_entry);
        for (std::size_t i = 0; i < m_base.tiles.size(); ++i) {
            const TileReceivers& r = *m_base.tiles[i].receivers;
            const Box box = r.key.bounds();
            if (distanceToBox(a.at, box) > a.reachM) continue;
            Digester d;
            d.add(a.at.x)
                .add(a.at.y)
                .add(a.amsl)
                .add(a.groundAmsl)
                .add(a.reachM)
                .add(r.digest)
                .add(m_settings.efficientShare)
                .add(pathModelKey(m_settings));
            for (const Hertz f : spectrum.frequencies) d.add(f.v);
            // Indoor receivers may stand a little outside the tile of their building, and corners beside
            // them.
            Box under = box.grown(64 + kMacroSideM);
            under.add(a.at);
            addSurfaceKey(d, *m_base.surface, under);
            part.tileKeys[i] = d.done();
        }
    }

    // An old antenna at the same place and height, by a linear look: there are few hundred at most.
    [[nodiscard]] const AntennaPart* oldOf(const AntennaPart& a) const {
        if (!m_old) return nullptr;
        for (const auto& o : m_old->antennas)
            if (o->antenna.at == a.antenna.at && o->antenna.amsl == a.antenna.amsl &&
                o->layers.size() == a.layers.size())
                return o.get();
        return nullptr;
    }

    void chooseKept() {
        std::size_t bytes = 0;
        for (std::size_t n = 0; n < m_antennas.size(); ++n) {
            AntennaPart& part = *m_antennas[n];
            for (std::size_t i = 0; i < m_base.tiles.size(); ++i)
                if (part.reaches(i)) bytes += bytesOf(*m_base.tiles[i].receivers, part.layers.size());
            m_kept[n] = bytes <= m_options.keptPathBytes;
            const AntennaPart* old = m_kept[n] ? oldOf(part) : nullptr;
            if (!old) continue;
            for (std::size_t i = 0; i < m_base.tiles.size(); ++i) {
                const int o = part.reaches(i) ? m_old->tileIndex(m_base.tiles[i].receivers->key) : -1;
                if (o >= 0 && old->tileKeys[static_cast<std::size_t>(o)] == part.tileKeys[i])
                    part.slices[i] = old->slices[static_cast<std::size_t>(o)];
            }
        }
    }

    [[nodiscard]] const TilePart* oldTile(TileKey k) const {
        const int i = m_old ? m_old->tileIndex(k) : -1;
        return i < 0 ? nullptr : &m_old->tiles[static_cast<std::size_t>(i)];
    }

    // Levels that are the old ones, and empty ones where they have to be made.
    void keyTiles() {
        m_made.resize(m_base.tiles.size());
        parallelFor(m_base.tiles.size(), m_options.threads, [&](std::size_t i) {
            if (m_job.stopped()) return;
            TilePart& tile = m_base.tiles[i];
            Digester d, rings;
            d.add(tile.receivers->digest)
                .add(m_base.modelDigest)
                .add(static_cast<std::uint64_t>(m_base.layers.size()));
            for (const std::size_t n : m_order) {
                const CellRuntime& r = m_base.runtime[n];
                const AntennaPart& a = *m_antennas[static_cast<std::size_t>(r.antenna)];
                if (!a.reaches(i)) continue;
                d.add(static_cast<std::uint64_t>(n))
                    .add(m_base.cells[n].layer)
                    .add(r.baseCenti)
                    .add(m_base.shares[n])
                    .add(r.azimuth)
                    .add(r.patternDigest)
                    .add(a.tileKeys[i]);
                addRings(rings, m_base.rings[n]);
            }
            const Digest digest = d.done();
            tile.demandKey = rings.add(digest).done();
            const TilePart* old = oldTile(tile.receivers->key);
            if (old && old->levels->digest == digest) {
                tile.levels = old->levels;
                return;
            }
            m_made[i] = std::make_unique<TileLevels>();
            m_made[i]->key = tile.receivers->key;
            m_made[i]->digest = digest;
            m_made[i]->layers.resize(m_base.layers.size());
        });
    }

    [[nodiscard]] Portion wanted(std::size_t n) const {
        Portion out{n, {}, {}};
        for (std::size_t i = 0; i < m_made.size(); ++i)
            if (m_made[i] && m_antennas[n]->reaches(i)) out.tiles.push_back(i);
        return out;
    }

    // Slices of some antennas, and what they add to the levels.
    void addPortion(std::vector<Portion>& portion) {
        parallelFor(portion.size(), m_options.threads, [&](std::size_t k) {
            if (!m_job.stopped()) fill(portion[k]);
        });
        if (m_job.stopped()) return;
        parallelFor(m_made.size(), m_options.threads, [&](std::size_t i) {
            if (!m_made[i] || m_job.stopped()) return;
            std::vector<CellSource> cells;
            for (const Portion& p : portion) {
                const auto at = std::lower_bound(p.tiles.begin(), p.tiles.end(), i);
                if (at == p.tiles.end() || *at != i) continue;
                addCells(p.antenna, p.slices[static_cast<std::size_t>(at - p.tiles.begin())], cells);
            }
            addLevels(*m_made[i], *m_base.tiles[i].receivers, cells, *m_base.tables);
        });
    }

    void fill(Portion& p) {
        AntennaPart& part = *m_antennas[p.antenna];
        std::vector<std::size_t> missing, place;
        p.slices.resize(p.tiles.size());
        for (std::size_t k = 0; k < p.tiles.size(); ++k) {
            p.slices[k] = part.slices[p.tiles[k]];
            if (!p.slices[k].empty()) continue;
            missing.push_back(p.tiles[k]);
            place.push_back(k);
        }
        if (missing.empty()) return;
        const auto scratch = m_scratch.lend();
        auto made = makeSlices(m_base, part, missing, m_entry, *scratch);
        for (std::size_t k = 0; k < missing.size(); ++k) {
            if (m_kept[p.antenna]) part.slices[missing[k]] = made[k];
            p.slices[place[k]] = std::move(made[k]);
        }
    }

    void addCells(std::size_t antenna, const Slices& slices, std::vector<CellSource>& out) const {
        const AntennaPart& a = *m_antennas[antenna];
        for (const std::size_t n : m_cells[antenna]) {
            const CellRuntime& r = m_base.runtime[n];
            const int layer = m_base.cells[n].layer;
            const auto f = static_cast<std::size_t>(std::find(a.layers.begin(), a.layers.end(), layer) -
                                                    a.layers.begin());
            out.push_back({static_cast<std::uint16_t>(n), static_cast<std::uint16_t>(r.sector), layer,
                           r.baseCenti, m_base.shares[n], r.azimuth, r.pattern.get(), slices[f].get()});
        }
    }

    void publish() {
        parallelFor(m_base.tiles.size(), m_options.threads, [&](std::size_t i) {
            if (m_job.stopped()) return;
            TilePart& tile = m_base.tiles[i];
            if (m_made[i]) {
                finishLevels(*m_made[i], m_base.shares, *m_base.tables);
                tile.levels = std::shared_ptr<const TileLevels>(std::move(m_made[i]));
            }
            const TilePart* old = oldTile(tile.receivers->key);
            tile.demand = old && old->demandKey == tile.demandKey
                              ? old->demand
                              : std::make_shared<const std::vector<DemandSum>>(
                                    demandIn(*tile.receivers, *tile.levels, m_base.rings, *m_base.tables));
        });
        m_base.antennas.assign(m_antennas.begin(), m_antennas.end());
    }

    Baseline& m_base;
    const Baseline* m_old;
    const ModelSettings& m_settings;
    const StudyOptions& m_options;
    const EntryTables& m_entry;
    const Job& m_job;
    std::vector<std::shared_ptr<AntennaPart>> m_antennas;
    std::vector<char> m_kept;                      // by antenna: its slices stay
    std::vector<std::vector<std::size_t>> m_cells; // by antenna, those of one sector beside each other
    std::vector<std::size_t> m_order;
    std::vector<std::unique_ptr<TileLevels>> m_made; // by tile; null: the old ones serve
    LoanPool<MacroScratch> m_scratch;
};

} // namespace

void mapMacroLevels(Baseline& b, const Baseline* old, const ModelSettings& settings,
                    const StudyOptions& options, const EntryTables& entry, const Job& job) {
    Mapper(b, old, settings, options, entry, job).map();
}

std::shared_ptr<const PathSlice> sliceOf(const StudyCore& core, std::size_t cell, std::size_t tile) {
    const Baseline& b = *core.base;
    const AntennaPart& a = *b.antennas[static_cast<std::size_t>(b.runtime[cell].antenna)];
    if (!a.reaches(tile)) return nullptr;
    const auto layer = static_cast<std::size_t>(
        std::find(a.layers.begin(), a.layers.end(), b.cells[cell].layer) - a.layers.begin());
    if (!a.slices[tile].empty()) return a.slices[tile][layer];
    const auto made = core.memos->slices.get(a.tileKeys[tile], [&] {
        MacroScratch scratch;
        return std::make_shared<const Slices>(makeSlices(b, a, {&tile, 1}, *core.entry, scratch).front());
    });
    return (*made)[layer];
}

} // namespace fw
