// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/rasters.h"

#include "study/roof_map.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace fw {
namespace {

static_assert(kRasterPixels == kTilePixels && kRasterPixelM == kPixelM && kNothingHeard == kNoLevel);
static_assert(kRasterBlocks == kTileBlocks);

constexpr double kWeightInM2 = 256; // steps of TileReceivers::weight

// Layers that a request is about: all, or one.
std::vector<std::size_t> layersOf(const Baseline& b, int layer) {
    std::vector<std::size_t> out;
    for (std::size_t k = 0; k < b.layers.size(); ++k)
        if (layer < 0 || layer == static_cast<int>(k)) out.push_back(k);
    return out;
}

void addLayer(ServingRaster& out, const Baseline& b, const LayerLevels& l) {
    for (std::size_t i = 0; i < kTilePixelCount; ++i) {
        const ServingKey k = l.strongest[0][i];
        if (!k) continue;
        const int level = levelOf(k) + b.runtime[rosterOf(k)].scsCenti;
        if (out.server[i] != kNoCell && level <= out.levelCenti[i]) continue;
        out.levelCenti[i] = static_cast<std::int16_t>(std::clamp(level, -32000, 32000));
        out.server[i] = rosterOf(k);
    }
}

// What the users of one place cost, and the cell that bears most of it.
struct PlaceCost {
    double points = 0, most = 0;
    std::uint16_t cell = kNoCell;
    void add(double p, std::uint16_t c) {
        points += p;
        if (p > most) {
            most = p;
            cell = c;
        }
    }
};

double pointsOf(const Baseline& b, std::int64_t cost, std::uint16_t cell) {
    return static_cast<double>(cost) / kPrbUnit * 100 / b.cells[cell].resourceBlocks;
}

PlaceCost costAt(const Baseline& b, const TilePart& t, std::size_t i,
                 const std::vector<std::size_t>& layers) {
    PlaceCost out;
    for (const std::size_t k : layers) {
        if (t.cost->layers[k].empty() || t.cost->layers[k][i] <= 0) continue;
        const std::uint16_t m = rosterOf(t.levels->layers[k].strongest[0][i]);
        out.add(pointsOf(b, t.cost->layers[k][i], m), m);
    }
    return out;
}

// All users of one building.
struct BuildingCost {
    std::map<std::uint16_t, double> points; ///< by cell
    double demandM2 = 0;
    [[nodiscard]] PlaceCost share(double part) const {
        PlaceCost out;
        for (const auto& [cell, p] : points) out.add(p * part, cell);
        return out;
    }
};

class CostMaker {
public:
    CostMaker(const StudyCore& core, int layer)
        : m_base(*core.base), m_layers(layersOf(m_base, layer)), m_roofs(m_base),
          m_buildings(m_roofs.buildings().size()) {}

    std::vector<CostRaster> make(const Job& job) {
        m_out.resize(m_base.tiles.size());
        m_most.assign(m_out.size(), std::vector<float>(kTilePixelCount, 0));
        for (std::size_t t = 0; t < m_out.size(); ++t) {
            if (job.stopped()) return {};
            openGround(t);
            indoors(t);
            fringes(t);
        }
        spreadOverFootprints(job);
        return job.stopped() ? std::vector<CostRaster>{} : std::move(m_out);
    }

private:
    void put(std::size_t tile, std::size_t i, const PlaceCost& c, double demandM2) {
        CostRaster& r = m_out[tile];
        r.pointsPerHa[i] += static_cast<float>(c.points * kPixelsInHectare);
        r.demand[i] += static_cast<float>(demandM2 / (kPixelM * kPixelM));
        if (c.most <= m_most[tile][i]) return;
        m_most[tile][i] = static_cast<float>(c.most);
        r.cell[i] = c.cell;
    }

    void openGround(std::size_t t) {
        const TilePart& part = m_base.tiles[t];
        CostRaster& r = m_out[t];
        r.key = part.receivers->key;
        r.pointsPerHa.assign(kTilePixelCount, 0);
        r.demand.assign(kTilePixelCount, 0);
        r.cell.assign(kTilePixelCount, kNoCell);
        for (std::size_t i = 0; i < kTilePixelCount; ++i)
            if (const std::int32_t w = part.receivers->weight[i]; w > 0)
                put(t, i, costAt(m_base, part, i, m_layers), w / kWeightInM2);
    }

    void indoors(std::size_t t) {
        const TilePart& part = m_base.tiles[t];
        for (std::size_t n = 0; n < part.receivers->indoor.size(); ++n) {
            const IndoorReceiver& in = part.receivers->indoor[n];
            BuildingCost& b = m_buildings[static_cast<std::size_t>(m_roofs.place(in.building))];
            b.demandM2 += in.weight / kWeightInM2;
            for (const std::size_t k : m_layers) {
                const auto& cost = part.cost->layers[k];
                const std::size_t i = kTilePixelCount + n;
                if (cost.empty() || cost[i] <= 0) continue;
                const std::uint16_t m = rosterOf(part.levels->layers[k].strongest[0][i]);
                b.points[m] += pointsOf(m_base, cost[i], m);
            }
        }
    }

    void fringes(std::size_t t) {
        const TilePart& part = m_base.tiles[t];
        constexpr std::size_t blocks = static_cast<std::size_t>(kTileBlocks) * kTileBlocks;
        auto& fringe = m_out[t].fringe;
        fringe.assign(blocks, kNoCell);
        std::vector<std::uint16_t> densest(blocks, 0);
        for (const std::size_t k : m_layers) {
            const auto& density = part.cost->density[k];
            for (std::size_t i = 0; i < density.size(); ++i) {
                if (!density[i]) continue;
                const std::uint16_t m = rosterOf(part.levels->layers[k].strongest[0][i]);
                if (!m_base.cells[m].congested || density[i] < m_base.fringeFrom[m]) continue;
                const std::size_t at = blockOf(*part.receivers, i);
                if (density[i] <= densest[at]) continue;
                densest[at] = density[i];
                fringe[at] = m;
            }
        }
    }

    void spreadOverFootprints(const Job& job) {
        for (std::size_t t = 0; t < m_out.size() && !job.stopped(); ++t)
            for (const RoofMap::Patch& p : m_roofs.patches(t)) {
                const BuildingCost& b = m_buildings[p.building];
                const double part = static_cast<double>(p.cells) / m_roofs.buildings()[p.building].cells;
                put(t, p.pixel, b.share(part), b.demandM2 * part);
            }
    }

    const Baseline& m_base;
    std::vector<std::size_t> m_layers;
    RoofMap m_roofs;
    std::vector<BuildingCost> m_buildings; ///< as in the roof map
    std::vector<CostRaster> m_out;
    std::vector<std::vector<float>> m_most; ///< by tile and pixel: part of the cell that bears most
};

// A small cell over the tiles below it, one run of a row at a time.
class FootprintMaker {
public:
    FootprintMaker(const StudyCore& core, std::size_t small, SmallFootprint& out)
        : m_base(*core.base), m_source(core.source(small)), m_scs(core.smallRuntime[small].scsCenti),
          m_out(out) {}

    void make() {
        const SmallPath& p = *m_source.path;
        auto& g = m_out.levelCenti;
        g.x0 = (p.pixelX - p.radius) * kPixelM;
        g.y0 = (p.pixelY - p.radius) * kPixelM;
        g.cellM = kPixelM;
        g.width = g.height = p.side;
        const std::size_t n = static_cast<std::size_t>(p.side) * static_cast<std::size_t>(p.side);
        g.cells.assign(n, static_cast<std::int16_t>(kNoLevel));
        m_out.captured.assign(n, 0);
        m_out.leadCenti.assign(n, static_cast<std::int16_t>(kNoLevel));
        m_row.resize(static_cast<std::size_t>(p.side));
        const Box box = g.bounds();
        for (const TileKey key : tilesOf({box.x0, box.y0, box.x1 - 1, box.y1 - 1})) tile(key);
    }

private:
    void tile(TileKey key) {
        const SmallPath& p = *m_source.path;
        const int t = m_base.tileIndex(key);
        const TileLevels* levels = t < 0 ? nullptr : m_base.tiles[static_cast<std::size_t>(t)].levels.get();
        const int tx = key.x * kTilePixels, ty = key.y * kTilePixels;
        const int x0 = std::max(tx, p.pixelX - p.radius),
                  x1 = std::min(tx + kTilePixels - 1, p.pixelX + p.radius);
        const int y0 = std::max(ty, p.pixelY - p.radius),
                  y1 = std::min(ty + kTilePixels - 1, p.pixelY + p.radius);
        for (int y = y0; y <= y1 && x0 <= x1; ++y) {
            smallLevelRow(m_source, y - p.pixelY, x0 - p.pixelX, x1 - p.pixelX, m_row.data());
            const std::size_t at = p.index(x0 - p.pixelX, y - p.pixelY);
            for (int x = x0; x <= x1; ++x) {
                const int level = m_row[static_cast<std::size_t>(x - x0)];
                if (level == kNoLevel) continue;
                pixel(at + static_cast<std::size_t>(x - x0), level, levels,
                      static_cast<std::size_t>((y - ty) * kTilePixels + x - tx));
            }
        }
    }

    void pixel(std::size_t at, int level, const TileLevels* levels, std::size_t i) {
        const ModelTables& tables = *m_base.tables;
        const int shown = std::clamp(level + m_scs, -32000, 32000);
        m_out.levelCenti.cells[at] = static_cast<std::int16_t>(shown);
        int lead = SmallFootprint::kNoMacro;
        std::int64_t taken = 0;
        const std::size_t n = levels ? levels->layers.size() : 0;
        for (std::size_t k = 0; k < n; ++k) {
            if (m_source.layer >= 0 && m_source.layer != static_cast<int>(k)) continue;
            const LayerLevels& l = levels->layers[k];
            if (l.empty() || !l.strongest[0][i]) continue;
            const ServingKey key = l.strongest[0][i];
            lead = std::min(lead, shown - levelOf(key) - m_base.runtime[rosterOf(key)].scsCenti);
            if (l.sinr[i] == kNoLevel) continue;
            const Candidate c = candidateFor(m_source, level, static_cast<int>(k), levelOf(key), tables);
            if (!c.any()) continue;
            taken = m_source.layer >= 0
                        ? std::int64_t{tables.coChannel(c.margin).p}
                        : (std::int64_t{tables.ownCarrier(c.margin).p} * tables.ownCarrierShare()) >> 15;
        }
        m_out.leadCenti[at] =
            static_cast<std::int16_t>(std::clamp(lead, -32000, int{SmallFootprint::kNoMacro}));
        m_out.captured[at] = static_cast<std::uint8_t>(
            std::clamp((taken * 255 + 16384) >> 15, std::int64_t{0}, std::int64_t{255}));
    }

    const Baseline& m_base;
    SmallSource m_source;
    int m_scs;
    SmallFootprint& m_out;
    std::vector<std::int16_t> m_row;
};

} // namespace

Digest groundDigest(const Study& study) {
    const Baseline& b = *study.core().base;
    Digester d;
    d.add(b.digest).add(b.tileX0).add(b.tileY0).add(b.tilesW).add(b.tilesH);
    for (const Layer& l : b.layers) d.add(l.technology).add(l.channel);
    for (const MacroCell& c : b.cells)
        d.add(c.id.v).add(c.sector.v).add(c.congested).add(c.layer).add(c.resourceBlocks);
    return d.done();
}

std::vector<ServingRaster> servingRasters(const Study& study, int layer, const Job& job) {
    const Baseline& b = *study.core().base;
    const auto layers = layersOf(b, layer);
    std::vector<ServingRaster> out;
    if (layers.empty()) return out;
    for (const TilePart& t : b.tiles) {
        if (job.stopped()) return {};
        ServingRaster& r = out.emplace_back();
        r.key = t.receivers->key;
        r.levelCenti.assign(kTilePixelCount, static_cast<std::int16_t>(kNothingHeard));
        r.server.assign(kTilePixelCount, kNoCell);
        for (const std::size_t k : layers)
            if (!t.levels->layers[k].empty()) addLayer(r, b, t.levels->layers[k]);
    }
    return out;
}

std::vector<CostRaster> costRasters(const Study& study, int layer, const Job& job) {
    if (layersOf(*study.core().base, layer).empty()) return {};
    return CostMaker(study.core(), layer).make(job);
}

bool footprintOf(const Study& study, ItemId small, SmallFootprint& out) {
    const int n = study.core().smallIndex(small);
    out.small = n < 0 ? ItemId{} : small;
    if (n < 0 || !study.core().smallRuntime[static_cast<std::size_t>(n)].path) {
        out.levelCenti = {};
        out.captured.clear();
        out.leadCenti.clear();
        return false;
    }
    FootprintMaker(study.core(), static_cast<std::size_t>(n), out).make();
    return true;
}

} // namespace fw
