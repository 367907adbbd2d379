// SPDX-License-Identifier: GPL-3.0-or-later
// Ground and what stands on it, as grids that a sight line can be checked against. Knows nothing of a plan.
#pragma once

#include "base/digest.h"
#include "base/id.h"
#include "base/units.h"
#include "geo/grid.h"
#include "geo/index.h"
#include "geo/shape.h"

#include <bit>
#include <cstdint>
#include <memory>
#include <vector>

namespace fw {

/// A solid with vertical walls and a flat top.
struct Prism {
    ItemId id; ///< the item it stands for; named in skylines and profiles
    Polygon footprint;
    double heightM = 0;  ///< of the roof above the lowest ground under the footprint
    double parapetM = 0; ///< rim above the roof; counted at the outer edge only where a mount stands on it
};

/// The crown of a tree: a slab that weakens but does not stop a signal.
struct Crown {
    ItemId id;
    PlanePoint at;
    double radiusM = 0;
    double topM = 0, bottomM = 0; ///< above the ground at `at`
};
Box boundsOf(const Crown& crown);

/// Where traffic is, as a raster says: density by cell, 1 on the mean of cells that have any; NaN-free. Cells
/// have a side that divides a tile's, and stand on multiples of it.
using DemandGrid = Grid<float>;
/// Class by cell; -1 where nothing is known.
using ClassGrid = Grid<std::int32_t>;

/// Terrain heights (m above the datum). Empty grid: flat at `flatM`. With them come the rasters that say what
/// lies on the ground, where a plan has any.
struct Terrain {
    Grid<float> heights;
    double flatM = 0;
    std::shared_ptr<const DemandGrid> demand = {};
    std::shared_ptr<const ClassGrid> landCover = {};
    /// Bilinear between cell centres, the rim repeated outwards.
    [[nodiscard]] double at(PlanePoint p) const;
};

/// One 512 m tile of the surface: tops (ground, or roof where a footprint covers the cell's centre), in
/// `Surface::cellM` cells. What lies under roofs is kept for the cells that have one. `coarse` holds the
/// highest of each four tops, for far work. `digest` covers the ground, and every prism and crown whose box
/// meets the tile; not the places of prisms in the surface's list, so that it outlives an insertion
/// elsewhere.
struct SurfaceTile {
    /// What a roofed cell hides.
    struct Roofed {
        float ground = 0;        ///< m above the datum
        std::uint32_t prism = 0; ///< that made the top: index into the surface's prisms
    };
    TileKey key;
    Grid<float> top, coarse;
    Digest digest;
    std::vector<Roofed> roofed;          ///< ascending by cell
    std::vector<std::uint64_t> isRoofed; ///< a bit a cell, 64 cells a word
    std::vector<std::uint32_t> before;   ///< by word: roofed cells in the words before it

    /// Of a cell by its index in `top`; null for open ground.
    [[nodiscard]] const Roofed* roofOver(std::size_t cell) const {
        const std::uint64_t word = isRoofed[cell / 64], bit = std::uint64_t(1) << cell % 64;
        if (!(word & bit)) return nullptr;
        return &roofed[before[cell / 64] + static_cast<std::size_t>(std::popcount(word & (bit - 1)))];
    }
    [[nodiscard]] float groundAt(std::size_t cell) const {
        const Roofed* r = roofOver(cell);
        return r ? r->ground : top.cells[cell];
    }
    /// Ground of the n cells from `cell` on.
    void copyGround(std::size_t cell, std::size_t n, float* out) const;
};

/// Immutable; made by SurfaceBuilder, shared by any number of threads.
class Surface {
public:
    [[nodiscard]] double cellM() const { return m_cellM; }
    [[nodiscard]] const Box& bounds() const { return m_bounds; } ///< of all tiles
    [[nodiscard]] const std::vector<Prism>& prisms() const { return *m_prisms; }
    [[nodiscard]] const std::vector<double>& roofAmsl() const { return *m_roofAmsl; } ///< by prism index (m)
    [[nodiscard]] const std::vector<Crown>& crowns() const { return *m_crowns; }
    [[nodiscard]] const BoxIndex& prismIndex() const { return *m_prismIndex; }
    [[nodiscard]] const BoxIndex& crownIndex() const { return *m_crownIndex; }
    [[nodiscard]] const Terrain& terrain() const { return *m_terrain; }
    /// Of the whole terrain, which stands in wherever a tile is missing.
    [[nodiscard]] const Digest& terrainDigest() const { return m_terrainDigest; }

    /// Ground height from the terrain itself (m above the datum).
    [[nodiscard]] double groundAt(PlanePoint p) const { return m_terrain->at(p); }
    /// Top of the cell that holds p (m above the datum): roof, or ground. Ground outside the tiles.
    [[nodiscard]] float topAt(PlanePoint p) const;
    /// Index of the prism that covers p exactly (not by cell), or -1. The highest where several do, then the
    /// lowest index.
    [[nodiscard]] int prismAt(PlanePoint p) const;

    /// Copies tops into dense rows: n x n cells centred on the cell that holds `centre`, row 0 in the south.
    /// Cells outside all tiles take the terrain.
    /// @param overview  1 for full cells; 2 gives cells of twice the side, the *highest* of four, for far
    /// work.
    /// @param stride  floats from row to row, a multiple of 8 and at least n + 8; `rows` ends with 16 spare
    /// floats, so that a kernel may read whole vectors past the last cell.
    void window(PlanePoint centre, int radiusCells, int overview, std::vector<float>& rows,
                int& stride) const;
    /// The same for the ground alone, in full cells.
    void groundWindow(PlanePoint centre, int radiusCells, std::vector<float>& rows, int& stride) const;

    [[nodiscard]] const SurfaceTile* tile(TileKey key) const;
    /// Whether they are exactly the tiles that meet `area`.
    [[nodiscard]] bool tilesAre(const Box& area) const;
    [[nodiscard]] const std::vector<std::shared_ptr<const SurfaceTile>>& tiles() const { return m_tiles; }

private:
    friend class SurfaceBuilder;
    enum class Layer { ground, top, coarse };
    void copyWindow(Layer layer, PlanePoint centre, int radiusCells, std::vector<float>& rows,
                    int& stride) const;

    double m_cellM = 2;
    Box m_bounds;
    std::shared_ptr<const Terrain> m_terrain;
    Digest m_terrainDigest;
    std::shared_ptr<const std::vector<Prism>> m_prisms;
    std::shared_ptr<const std::vector<double>> m_roofAmsl;
    std::shared_ptr<const std::vector<Crown>> m_crowns;
    std::shared_ptr<const BoxIndex> m_prismIndex, m_crownIndex;
    int m_tileX0 = 0, m_tileY0 = 0, m_tilesW = 0, m_tilesH = 0;
    std::vector<std::shared_ptr<const SurfaceTile>> m_tiles; ///< dense, row by row
};

/// Burns prisms into tiles.
class SurfaceBuilder {
public:
    /// Every tile that meets `area` is made, on up to `threads` threads. The result does not depend on their
    /// number, nor on the order of prisms other than by index.
    /// @param cellM  must divide 512 m into an even number of cells: 1, 2 or 4 m.
    static Surface build(const Box& area, double cellM, std::shared_ptr<const Terrain> terrain,
                         std::vector<Prism> prisms, std::vector<Crown> crowns, unsigned threads = 0);
    /// As build with the new prisms, but tiles that meet none of `changed` are shared with `previous`. The
    /// same bytes as a fresh build, provided that `changed` covers the boxes of every prism and crown that
    /// came, went or differs, old place and new. Another terrain object makes everything anew.
    static Surface rebuild(const Surface& previous, const Box& area, std::shared_ptr<const Terrain> terrain,
                           std::vector<Prism> prisms, std::vector<Crown> crowns,
                           const std::vector<Box>& changed, unsigned threads = 0);

private:
    static Surface make(const Surface* previous, const Box& area, double cellM,
                        std::shared_ptr<const Terrain> terrain, std::vector<Prism> prisms,
                        std::vector<Crown> crowns, const std::vector<Box>& changed, unsigned threads);
};

/// Digest of everything in the tiles under a box that can change a sight line there: the key of cached parts.
/// Cheap: one stored digest a tile.
void addSurfaceKey(Digester& d, const Surface& s, const Box& under);

} // namespace fw
