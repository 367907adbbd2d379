// SPDX-License-Identifier: GPL-3.0-or-later
// How prisms become tiles.
#include "base/parallel.h"
#include "surface/surface.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace fw {
namespace {

/// Calls f(first, last) for every run of cells of one row whose centres lie inside the footprint; even-odd
/// over all rings. Cells count from 0 at `x0`.
template <class F>
void forRuns(const Polygon& p, double x0, double yCentre, double cellM, std::vector<double>& cuts, F&& f) {
    cuts.clear();
    const auto ringCuts = [&](const Ring& ring) {
        for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
            const PlanePoint a = ring[j], b = ring[i];
            if ((a.y <= yCentre) == (b.y <= yCentre)) continue;
            cuts.push_back(a.x + (yCentre - a.y) * (b.x - a.x) / (b.y - a.y));
        }
    };
    if (!p.outer.empty()) ringCuts(p.outer);
    for (const Ring& hole : p.holes)
        if (!hole.empty()) ringCuts(hole);
    std::sort(cuts.begin(), cuts.end());
    for (std::size_t k = 0; k + 1 < cuts.size(); k += 2) {
        const int first = static_cast<int>(std::ceil((cuts[k] - x0) / cellM - 0.5));
        const int last = static_cast<int>(std::floor((cuts[k + 1] - x0) / cellM - 0.5));
        if (first <= last) f(first, last);
    }
}

/// Height of the roof above the datum: over the lowest ground at the corners and at the covered cells.
double roofOf(const Prism& prism, const Terrain& terrain, double cellM, std::vector<double>& cuts) {
    if (terrain.heights.empty()) return terrain.flatM + prism.heightM;
    double low = std::numeric_limits<double>::infinity();
    for (const PlanePoint c : prism.footprint.outer) low = std::min(low, terrain.at(c));
    const Box box = boundsOf(prism.footprint);
    const double x0 = std::floor(box.x0 / cellM) * cellM;
    const double last = std::floor(box.y1 / cellM);
    for (double row = std::floor(box.y0 / cellM); row <= last; ++row) {
        const double y = (row + 0.5) * cellM;
        forRuns(prism.footprint, x0, y, cellM, cuts, [&](int a, int b) {
            for (int c = a; c <= b; ++c) low = std::min(low, terrain.at({x0 + (c + 0.5) * cellM, y}));
        });
    }
    return low + prism.heightM;
}

/// The new surface's parts that a tile is made from.
struct Parts {
    double cellM;
    const Terrain& terrain;
    const std::vector<Prism>& prisms;
    const std::vector<double>& roofAmsl;
    const std::vector<Crown>& crowns;
    const BoxIndex& prismIndex;
    const BoxIndex& crownIndex;
};

void digestRing(Digester& d, const Ring& ring) {
    d.add(static_cast<std::uint64_t>(ring.size()));
    for (const PlanePoint c : ring) d.add(c.x).add(c.y);
}

Digest digestOf(TileKey key, const Grid<float>& ground, const Parts& parts,
                const std::vector<std::uint32_t>& prisms, const std::vector<std::uint32_t>& crowns) {
    Digester d;
    d.add(parts.cellM).add(key.x).add(key.y);
    if (parts.terrain.heights.empty())
        d.add(parts.terrain.flatM);
    else
        d.bytes(ground.cells.data(), ground.cells.size() * sizeof(float));
    d.add(static_cast<std::uint64_t>(prisms.size()));
    for (const std::uint32_t i : prisms) {
        const Prism& p = parts.prisms[i];
        d.add(p.id.v).add(p.heightM).add(p.parapetM).add(parts.roofAmsl[i]);
        digestRing(d, p.footprint.outer);
        d.add(static_cast<std::uint64_t>(p.footprint.holes.size()));
        for (const Ring& hole : p.footprint.holes) digestRing(d, hole);
    }
    d.add(static_cast<std::uint64_t>(crowns.size()));
    for (const std::uint32_t i : crowns) {
        const Crown& c = parts.crowns[i];
        d.add(c.id.v).add(c.at.x).add(c.at.y).add(c.radiusM).add(c.topM).add(c.bottomM);
        d.add(parts.terrain.at(c.at));
    }
    return d.done();
}

void fillGround(Grid<float>& ground, const Terrain& terrain) {
    if (terrain.heights.empty()) {
        std::fill(ground.cells.begin(), ground.cells.end(), static_cast<float>(terrain.flatM));
        return;
    }
    for (int r = 0; r < ground.height; ++r)
        for (int c = 0; c < ground.width; ++c)
            ground.at(c, r) = static_cast<float>(terrain.at(ground.centre(c, r)));
}

/// The highest wins; of equals the lower index, which comes first.
/// @param owner  by cell: the prism on top, counted from 1.
void burn(Grid<float>& top, std::vector<std::uint32_t>& owner, const Prism& prism, float roof,
          std::uint32_t number, std::vector<double>& cuts) {
    const Box box = boundsOf(prism.footprint);
    const int first = std::max(0, top.rowOf(box.y0)), last = std::min(top.height - 1, top.rowOf(box.y1));
    for (int r = first; r <= last; ++r) {
        forRuns(prism.footprint, top.x0, top.y0 + (r + 0.5) * top.cellM, top.cellM, cuts, [&](int a, int b) {
            for (int c = std::max(a, 0); c <= std::min(b, top.width - 1); ++c) {
                const std::size_t k = top.index(c, r);
                if (roof <= top.cells[k]) continue;
                top.cells[k] = roof;
                owner[k] = number;
            }
        });
    }
}

void keepRoofed(SurfaceTile& tile, const Grid<float>& ground, const std::vector<std::uint32_t>& owner) {
    const auto many =
        owner.size() - static_cast<std::size_t>(std::count(owner.begin(), owner.end(), std::uint32_t(0)));
    const std::size_t words = (owner.size() + 63) / 64;
    tile.roofed.reserve(many);
    tile.isRoofed.assign(words, 0);
    tile.before.assign(words, 0);
    for (std::size_t k = 0; k < owner.size(); ++k) {
        if (k % 64 == 0) tile.before[k / 64] = static_cast<std::uint32_t>(tile.roofed.size());
        if (!owner[k]) continue;
        tile.isRoofed[k / 64] |= std::uint64_t(1) << k % 64;
        tile.roofed.push_back({ground.cells[k], owner[k] - 1});
    }
}

void fillCoarse(SurfaceTile& tile) {
    for (int r = 0; r < tile.coarse.height; ++r) {
        const float* south = &tile.top.at(0, 2 * r);
        const float* north = &tile.top.at(0, 2 * r + 1);
        float* out = &tile.coarse.at(0, r);
        for (int c = 0; c < tile.coarse.width; ++c)
            out[c] =
                std::max(std::max(south[2 * c], south[2 * c + 1]), std::max(north[2 * c], north[2 * c + 1]));
    }
}

std::shared_ptr<const SurfaceTile> makeTile(TileKey key, const Parts& parts) {
    auto tile = std::make_shared<SurfaceTile>();
    const Box box = key.bounds();
    const int n = static_cast<int>(kTileM / parts.cellM);
    tile->key = key;
    Grid<float> ground(box.x0, box.y0, parts.cellM, n, n);
    tile->coarse = Grid<float>(box.x0, box.y0, 2 * parts.cellM, n / 2, n / 2);
    fillGround(ground, parts.terrain);
    tile->top = ground;
    std::vector<std::uint32_t> owner(ground.cells.size(), 0);
    std::vector<std::uint32_t> prisms, crowns;
    std::vector<double> cuts;
    parts.prismIndex.query(box, prisms);
    parts.crownIndex.query(box, crowns);
    for (const std::uint32_t i : prisms)
        burn(tile->top, owner, parts.prisms[i], static_cast<float>(parts.roofAmsl[i]), i + 1, cuts);
    keepRoofed(*tile, ground, owner);
    fillCoarse(*tile);
    tile->digest = digestOf(key, ground, parts, prisms, crowns);
    return tile;
}

/// A tile nothing changed in, as the new list of prisms numbers them: shared when the numbers stand, copied
/// with new owners when an insertion or removal elsewhere moved them, null when the order among them
/// changed.
std::shared_ptr<const SurfaceTile> carriedOver(const std::shared_ptr<const SurfaceTile>& old,
                                               const Surface& previous, const Parts& parts) {
    const Box box = old->key.bounds();
    std::vector<std::uint32_t> before, after;
    previous.prismIndex().query(box, before);
    parts.prismIndex.query(box, after);
    if (before == after) {
        const bool same = std::equal(before.begin(), before.end(), after.begin(), [&](auto b, auto a) {
            return previous.prisms()[b].id == parts.prisms[a].id;
        });
        return same ? old : nullptr;
    }
    if (before.size() != after.size()) return nullptr;
    for (std::size_t k = 0; k < before.size(); ++k)
        if (previous.prisms()[before[k]].id != parts.prisms[after[k]].id) return nullptr;
    auto tile = std::make_shared<SurfaceTile>(*old);
    for (SurfaceTile::Roofed& r : tile->roofed) {
        const auto at = std::lower_bound(before.begin(), before.end(), r.prism);
        r.prism = after[static_cast<std::size_t>(at - before.begin())];
    }
    return tile;
}

Digest digestOf(const Terrain& t) {
    Digester d;
    d.add(t.flatM).add(t.heights.x0).add(t.heights.y0).add(t.heights.cellM);
    d.add(t.heights.width).add(t.heights.height);
    d.bytes(t.heights.cells.data(), t.heights.cells.size() * sizeof(float));
    return d.done();
}

/// Roofs of all prisms; those that are found unchanged in `previous` are taken over. A chunk's work writes
/// only its own entries.
std::vector<double> roofsOf(const std::vector<Prism>& prisms, const Terrain& terrain, double cellM,
                            const Surface* previous, unsigned threads) {
    std::vector<std::uint32_t> byId;
    if (previous) {
        byId.resize(previous->prisms().size());
        std::iota(byId.begin(), byId.end(), 0u);
        std::stable_sort(byId.begin(), byId.end(),
                         [&](auto a, auto b) { return previous->prisms()[a].id < previous->prisms()[b].id; });
    }
    std::vector<double> roofs(prisms.size());
    constexpr std::size_t kChunk = 512;
    parallelFor((prisms.size() + kChunk - 1) / kChunk, threads, [&](std::size_t chunk) {
        std::vector<double> cuts;
        const std::size_t end = std::min(prisms.size(), (chunk + 1) * kChunk);
        for (std::size_t i = chunk * kChunk; i < end; ++i) {
            const Prism& p = prisms[i];
            const auto at = std::lower_bound(byId.begin(), byId.end(), p.id, [&](auto k, ItemId id) {
                return previous->prisms()[k].id < id;
            });
            if (at != byId.end() && previous->prisms()[*at].id == p.id &&
                previous->prisms()[*at].heightM == p.heightM &&
                previous->prisms()[*at].footprint == p.footprint)
                roofs[i] = previous->roofAmsl()[*at];
            else
                roofs[i] = roofOf(p, terrain, cellM, cuts);
        }
    });
    return roofs;
}

template <class T, class BoxOf>
std::shared_ptr<const BoxIndex> indexOf(const std::vector<T>& things, BoxOf&& boxOf) {
    std::vector<Box> boxes;
    boxes.reserve(things.size());
    for (const T& t : things) boxes.push_back(boxOf(t));
    return std::make_shared<BoxIndex>(boxes);
}

} // namespace

Surface SurfaceBuilder::make(const Surface* previous, const Box& area, double cellM,
                             std::shared_ptr<const Terrain> terrain, std::vector<Prism> prisms,
                             std::vector<Crown> crowns, const std::vector<Box>& changed, unsigned threads) {
    Surface s;
    s.m_cellM = cellM;
    s.m_terrain = terrain ? std::move(terrain) : std::make_shared<const Terrain>();
    s.m_terrainDigest = previous ? previous->terrainDigest() : digestOf(*s.m_terrain);
    s.m_roofAmsl =
        std::make_shared<const std::vector<double>>(roofsOf(prisms, *s.m_terrain, cellM, previous, threads));
    s.m_prismIndex = indexOf(prisms, [](const Prism& p) { return boundsOf(p.footprint); });
    s.m_crownIndex = indexOf(crowns, [](const Crown& c) { return boundsOf(c); });
    s.m_prisms = std::make_shared<const std::vector<Prism>>(std::move(prisms));
    s.m_crowns = std::make_shared<const std::vector<Crown>>(std::move(crowns));
    const std::vector<TileKey> keys = tilesOf(area);
    if (keys.empty()) return s;
    s.m_tileX0 = keys.front().x;
    s.m_tileY0 = keys.front().y;
    s.m_tilesW = keys.back().x - keys.front().x + 1;
    s.m_tilesH = keys.back().y - keys.front().y + 1;
    s.m_bounds = keys.front().bounds();
    s.m_bounds.add(keys.back().bounds());
    s.m_tiles.resize(keys.size());
    const Parts parts{cellM,       *s.m_terrain,    *s.m_prisms,    *s.m_roofAmsl,
                      *s.m_crowns, *s.m_prismIndex, *s.m_crownIndex};
    parallelFor(keys.size(), threads, [&](std::size_t k) {
        if (previous && previous->tile(keys[k])) {
            const Box box = keys[k].bounds();
            const bool touched =
                std::any_of(changed.begin(), changed.end(), [&](const Box& b) { return b.meets(box); });
            const int x = keys[k].x - previous->m_tileX0, y = keys[k].y - previous->m_tileY0;
            if (!touched)
                s.m_tiles[k] =
                    carriedOver(previous->m_tiles[static_cast<std::size_t>(y * previous->m_tilesW + x)],
                                *previous, parts);
        }
        if (!s.m_tiles[k]) s.m_tiles[k] = makeTile(keys[k], parts);
    });
    return s;
}

Surface SurfaceBuilder::build(const Box& area, double cellM, std::shared_ptr<const Terrain> terrain,
                              std::vector<Prism> prisms, std::vector<Crown> crowns, unsigned threads) {
    return make(nullptr, area, cellM, std::move(terrain), std::move(prisms), std::move(crowns), {}, threads);
}

Surface SurfaceBuilder::rebuild(const Surface& previous, const Box& area,
                                std::shared_ptr<const Terrain> terrain, std::vector<Prism> prisms,
                                std::vector<Crown> crowns, const std::vector<Box>& changed,
                                unsigned threads) {
    const bool sameGround = terrain && terrain == previous.m_terrain;
    return make(sameGround ? &previous : nullptr, area, previous.cellM(), std::move(terrain),
                std::move(prisms), std::move(crowns), changed, threads);
}

} // namespace fw
