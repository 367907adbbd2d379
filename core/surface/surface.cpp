// SPDX-License-Identifier: GPL-3.0-or-later
#include "surface/surface.h"

#include <algorithm>
#include <cmath>
#include <cstring>

namespace fw {
namespace {

/// Spare floats at the end of a window, so that a kernel may read whole vectors past the last cell.
constexpr int kSpare = 16;

int floorDiv(int a, int b) { return a / b - (a % b != 0 && (a < 0) != (b < 0) ? 1 : 0); }

} // namespace

Box boundsOf(const Crown& c) {
    return {c.at.x - c.radiusM, c.at.y - c.radiusM, c.at.x + c.radiusM, c.at.y + c.radiusM};
}

double Terrain::at(PlanePoint p) const {
    if (heights.empty()) return flatM;
    const double cx = std::clamp((p.x - heights.x0) / heights.cellM - 0.5, 0.0, heights.width - 1.0);
    const double cy = std::clamp((p.y - heights.y0) / heights.cellM - 0.5, 0.0, heights.height - 1.0);
    const int c = std::min(static_cast<int>(cx), std::max(heights.width - 2, 0));
    const int r = std::min(static_cast<int>(cy), std::max(heights.height - 2, 0));
    const int c1 = std::min(c + 1, heights.width - 1), r1 = std::min(r + 1, heights.height - 1);
    const double fx = cx - c, fy = cy - r;
    const double south = heights.at(c, r) + fx * (double{heights.at(c1, r)} - heights.at(c, r));
    const double north = heights.at(c, r1) + fx * (double{heights.at(c1, r1)} - heights.at(c, r1));
    return south + fy * (north - south);
}

void SurfaceTile::copyGround(std::size_t cell, std::size_t n, float* out) const {
    std::memcpy(out, &top.cells[cell], n * sizeof(float));
    const std::size_t end = cell + n;
    for (std::size_t w = cell / 64; w * 64 < end; ++w) {
        const std::uint64_t all = isRoofed[w];
        std::uint64_t bits = all;
        if (w * 64 < cell) bits &= ~std::uint64_t(0) << (cell - w * 64);
        if (end < w * 64 + 64) bits &= (std::uint64_t(1) << (end - w * 64)) - 1;
        if (!bits) continue;
        const auto first = static_cast<unsigned>(std::countr_zero(bits));
        const Roofed* r = &roofed[before[w] + static_cast<std::size_t>(
                                                  std::popcount(all & ((std::uint64_t(1) << first) - 1)))];
        for (; bits; bits &= bits - 1, ++r)
            out[w * 64 + static_cast<std::size_t>(std::countr_zero(bits)) - cell] = r->ground;
    }
}

const SurfaceTile* Surface::tile(TileKey key) const {
    const int x = key.x - m_tileX0, y = key.y - m_tileY0;
    if (x < 0 || y < 0 || x >= m_tilesW || y >= m_tilesH) return nullptr;
    return m_tiles[static_cast<std::size_t>(y) * static_cast<std::size_t>(m_tilesW) +
                   static_cast<std::size_t>(x)]
        .get();
}

float Surface::topAt(PlanePoint p) const {
    const SurfaceTile* t = tile(tileOf(p));
    if (!t) return static_cast<float>(groundAt(p));
    const int c = std::clamp(t->top.colOf(p.x), 0, t->top.width - 1);
    const int r = std::clamp(t->top.rowOf(p.y), 0, t->top.height - 1);
    return t->top.at(c, r);
}

int Surface::prismAt(PlanePoint p) const {
    std::vector<std::uint32_t> near;
    m_prismIndex->query({p.x, p.y, p.x, p.y}, near);
    int best = -1;
    for (const std::uint32_t i : near) {
        if (best >= 0 && (*m_roofAmsl)[i] <= (*m_roofAmsl)[static_cast<std::size_t>(best)]) continue;
        if (contains((*m_prisms)[i].footprint, p)) best = static_cast<int>(i);
    }
    return best;
}

bool Surface::tilesAre(const Box& area) const {
    const std::vector<TileKey> keys = tilesOf(area);
    return !keys.empty() && keys.size() == m_tiles.size() && keys.front() == TileKey{m_tileX0, m_tileY0} &&
           keys.back() == TileKey{m_tileX0 + m_tilesW - 1, m_tileY0 + m_tilesH - 1};
}

void Surface::copyWindow(Layer layer, PlanePoint centre, int radiusCells, std::vector<float>& rows,
                         int& stride) const {
    const double cell = layer == Layer::coarse ? 2 * m_cellM : m_cellM;
    const int perTile = static_cast<int>(kTileM / cell);
    const int n = 2 * radiusCells + 1;
    stride = (n + 8 + 7) / 8 * 8;
    rows.resize(static_cast<std::size_t>(stride) * static_cast<std::size_t>(n) + kSpare);
    const int col0 = static_cast<int>(std::floor(centre.x / cell)) - radiusCells;
    const int row0 = static_cast<int>(std::floor(centre.y / cell)) - radiusCells;
    const auto missing = [&](int col, int row) {
        if (layer != Layer::coarse)
            return static_cast<float>(groundAt({(col + 0.5) * cell, (row + 0.5) * cell}));
        float most = -1e9f;
        for (const double oy : {0.25, 0.75})
            for (const double ox : {0.25, 0.75})
                most = std::max(most, static_cast<float>(groundAt({(col + ox) * cell, (row + oy) * cell})));
        return most;
    };
    for (int r = 0; r < n; ++r) {
        float* out = rows.data() + static_cast<std::size_t>(r) * static_cast<std::size_t>(stride);
        const int row = row0 + r, tileY = floorDiv(row, perTile);
        for (int c = 0; c < n;) {
            const int col = col0 + c, tileX = floorDiv(col, perTile);
            const int run = std::min(n - c, (tileX + 1) * perTile - col);
            if (const SurfaceTile* t = tile({tileX, tileY})) {
                const Grid<float>& g = layer == Layer::coarse ? t->coarse : t->top;
                const std::size_t from = g.index(col - tileX * perTile, row - tileY * perTile);
                const auto many = static_cast<std::size_t>(run);
                if (layer == Layer::ground)
                    t->copyGround(from, many, out + c);
                else
                    std::memcpy(out + c, &g.cells[from], many * sizeof(float));
            } else {
                for (int k = 0; k < run; ++k) out[c + k] = missing(col + k, row);
            }
            c += run;
        }
        std::fill(out + n, out + stride, 0.0f);
    }
    std::fill(rows.end() - kSpare, rows.end(), 0.0f);
}

void Surface::window(PlanePoint centre, int radiusCells, int overview, std::vector<float>& rows,
                     int& stride) const {
    copyWindow(overview == 2 ? Layer::coarse : Layer::top, centre, radiusCells, rows, stride);
}

void Surface::groundWindow(PlanePoint centre, int radiusCells, std::vector<float>& rows, int& stride) const {
    copyWindow(Layer::ground, centre, radiusCells, rows, stride);
}

void addSurfaceKey(Digester& d, const Surface& s, const Box& under) {
    d.add(s.cellM());
    for (const TileKey key : tilesOf(under)) {
        d.add(key.x).add(key.y);
        const SurfaceTile* t = s.tile(key);
        d.add(t ? t->digest : s.terrainDigest());
    }
}

} // namespace fw
