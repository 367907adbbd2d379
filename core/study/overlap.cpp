// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/overlap.h"

#include "base/parallel.h"
#include "base/units.h"
#include "study/state.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace fw {
namespace {

constexpr std::size_t kNoPlace = static_cast<std::size_t>(-1);

// Pixels by pair of places; a cell's own ground under (place, place). Macros come first, small cells behind.
using Counts = PairPixels;

std::uint64_t pairKey(std::size_t a, std::size_t b) { return std::uint64_t{a} << 32 | b; }

// A cell heard at one pixel.
struct Heard {
    std::size_t place;
    int compared; ///< 0.01 dBm, bias counted
    bool serves;
};

// One tile: who is heard at each pixel, carrier by carrier.
class TileCounter {
public:
    TileCounter(const StudyCore& core, std::size_t tile, const std::vector<SmallSource>& near,
                int marginCenti)
        : m_core(core), m_base(*core.base), m_part(core.base->tiles[tile]), m_margin(marginCenti),
          m_near(near) {
        // Layers of macros first, then the carriers that small cells have to themselves.
        m_carriers.resize(m_base.layers.size() + core.channels.size());
        for (const SmallSource& s : m_near) m_levels.push_back(levelsOf(s));
    }

    Counts count() {
        for (std::size_t i = 0; i < kTilePixelCount; ++i) {
            if (m_part.receivers->openCells[i] == 0) continue;
            listen(i);
            add();
        }
        Counts out;
        const std::size_t n = m_places.size();
        for (std::size_t a = 0; a < n; ++a)
            for (std::size_t b = 0; b < n; ++b)
                if (const std::int64_t pixels = m_counts[a * kMostPlaces + b])
                    out.emplace_back(pairKey(m_places[a], m_places[b]), pixels);
        return out;
    }

private:
    static constexpr std::size_t kMostPlaces = 1024; ///< of cells heard in one tile; the rest is left out

    std::vector<std::int16_t> levelsOf(const SmallSource& s) const {
        std::vector<std::int16_t> levels(kTilePixelCount, static_cast<std::int16_t>(kNoLevel));
        const SmallPath& p = *s.path;
        const int tx = m_part.receivers->key.x * kTilePixels, ty = m_part.receivers->key.y * kTilePixels;
        const int c0 = std::max(tx, p.pixelX - p.radius),
                  c1 = std::min(tx + kTilePixels - 1, p.pixelX + p.radius);
        const int r0 = std::max(ty, p.pixelY - p.radius),
                  r1 = std::min(ty + kTilePixels - 1, p.pixelY + p.radius);
        for (int y = r0; y <= r1 && c0 <= c1; ++y)
            smallLevelRow(s, y - p.pixelY, c0 - p.pixelX, c1 - p.pixelX,
                          levels.data() + (y - ty) * kTilePixels + c0 - tx);
        return levels;
    }

    void listen(std::size_t i) {
        for (auto& c : m_carriers) c.clear();
        const int served = m_base.tables->servedFromCenti();
        for (std::size_t k = 0; k < m_part.levels->layers.size(); ++k) {
            const LayerLevels& l = m_part.levels->layers[k];
            if (l.empty()) continue;
            for (const auto& rank : l.strongest) {
                if (!rank[i]) break;
                const std::uint16_t cell = rosterOf(rank[i]);
                m_carriers[k].push_back(
                    {cell, levelOf(rank[i]) + m_base.runtime[cell].scsCenti, levelOf(rank[i]) >= served});
            }
        }
        for (std::size_t n = 0; n < m_near.size(); ++n) {
            const int level = m_levels[n][i];
            if (level == kNoLevel) continue;
            const SmallSource& s = m_near[n];
            const auto carrier = static_cast<std::size_t>(
                s.layer >= 0 ? s.layer : static_cast<int>(m_base.layers.size()) + s.channel);
            m_carriers[carrier].push_back({m_base.cells.size() + s.index,
                                           level + m_core.smallRuntime[s.index].scsCenti + s.biasCenti,
                                           level >= served});
        }
    }

    void add() {
        m_servers.clear();
        m_good.clear();
        for (const auto& carrier : m_carriers) {
            const Heard* best = nullptr;
            for (const Heard& h : carrier) // the first of equals: macros, then small cells, ascending
                if (h.serves && (!best || h.compared > best->compared)) best = &h;
            if (!best) continue;
            m_servers.push_back(local(best->place));
            for (const Heard& h : carrier)
                if (h.serves && h.compared >= best->compared - m_margin) m_good.push_back(local(h.place));
        }
        for (const std::size_t a : m_servers)
            for (const std::size_t b : m_good) // its own place is among them: its ground
                if (a != kNoPlace && b != kNoPlace) ++m_counts[a * kMostPlaces + b];
    }

    std::size_t local(std::size_t place) {
        const auto [it, fresh] = m_local.try_emplace(place, m_places.size());
        if (!fresh) return it->second;
        if (m_places.size() == kMostPlaces) return it->second = kNoPlace;
        m_places.push_back(place);
        m_counts.resize(m_places.size() * kMostPlaces, 0);
        return it->second;
    }

    const StudyCore& m_core;
    const Baseline& m_base;
    const TilePart& m_part;
    int m_margin;
    const std::vector<SmallSource>& m_near;
    std::vector<std::vector<std::int16_t>> m_levels; ///< by place in m_near, then pixel
    std::vector<std::vector<Heard>> m_carriers;
    std::vector<std::size_t> m_servers, m_good;
    std::map<std::size_t, std::size_t> m_local; ///< place among all cells -> place in the tile
    std::vector<std::size_t> m_places;
    std::vector<std::int64_t> m_counts;
};

// What the counts of all tiles rest on beside the tile.
Digest commonKey(const StudyCore& core, int marginCenti) {
    Digester d;
    d.add(marginCenti).add(static_cast<std::uint64_t>(core.channels.size()));
    for (const CellRuntime& r : core.base->runtime) d.add(r.scsCenti);
    return d.done();
}

Digest tileKey(const StudyCore& core, std::size_t tile, const std::vector<SmallSource>& near,
               const Digest& common) {
    Digester d;
    d.add(common).add(core.base->tiles[tile].levels->digest);
    for (const SmallSource& s : near) {
        const SmallRuntime& r = core.smallRuntime[s.index];
        d.add(s.index).add(r.key).add(s.channel).add(s.layer).add(s.biasCenti).add(r.scsCenti);
    }
    return d.done();
}

} // namespace

Overlaps overlapsOf(const Study& study, double marginDb, unsigned threads, const Job& job) {
    const StudyCore& core = study.core();
    const Baseline& b = *core.base;
    const auto sources = core.sources();
    const int margin = centiOf(std::clamp(marginDb, 0.0, 30.0));
    const Digest common = commonKey(core, margin);
    std::vector<std::shared_ptr<const Counts>> parts(b.tiles.size());
    parallelFor(parts.size(), threads, [&](std::size_t t) {
        if (job.stopped()) return;
        const auto near = core.meeting(b.tiles[t].receivers->key, sources);
        parts[t] = core.memos->overlap.get(tileKey(core, t, near, common), [&] {
            return std::make_shared<const Counts>(TileCounter(core, t, near, margin).count());
        });
    });
    Overlaps out;
    if (job.stopped()) return out;
    std::map<std::uint64_t, std::int64_t> all;
    for (const auto& part : parts)
        for (const auto& [key, n] : *part) all[key] += n;
    const auto idOf = [&](std::uint64_t place) {
        const std::size_t macros = b.cells.size();
        return place < macros ? b.cells[place].id : core.smalls[place - macros].id;
    };
    for (const auto& [key, n] : all) {
        const std::uint64_t x = key >> 32, y = key & 0xffffffff;
        const auto own = static_cast<double>(all.at(pairKey(x, x)));
        if (x == y)
            out.ground.push_back({idOf(x), own * kPixelM * kPixelM});
        else
            out.pairs.push_back({idOf(x), idOf(y), static_cast<double>(n) / own});
    }
    std::sort(out.ground.begin(), out.ground.end(),
              [](const CellGround& p, const CellGround& q) { return p.cell < q.cell; });
    std::sort(out.pairs.begin(), out.pairs.end(), [](const CellOverlap& p, const CellOverlap& q) {
        return p.cell != q.cell ? p.cell < q.cell : p.other < q.other;
    });
    return out;
}

} // namespace fw
