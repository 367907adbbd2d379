// SPDX-License-Identifier: GPL-3.0-or-later
// Ground and what stands on it, as grids that a sight line can be checked against. Knows nothing of a plan.
#pragma once

#include "base/id.h"
#include "base/units.h"
#include "geo/grid.h"
#include "geo/index.h"
#include "geo/shape.h"

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

/// Terrain heights (m above the datum). Empty grid: flat at `flatM`.
struct Terrain {
    Grid<float> heights;
    double flatM = 0;
    /// Bilinear between cell centres, the rim repeated outwards.
    [[nodiscard]] double at(PlanePoint p) const;
};

/// One 512 m tile of the surface: ground and top (ground, or roof where a footprint covers the cell's
/// centre), in `Surface::cellM` cells. `owner` names per cell the prism that made the top (index into the
/// surface's prisms + 1, 0 for ground).
struct SurfaceTile {
    TileKey key;
    Grid<float> ground, top;
    std::vector<std::uint32_t> owner;
};

/// Immutable; made by SurfaceBuilder, shared by any number of threads.
class Surface {
public:
    [[nodiscard]] double cellM() const { return m_cellM; }
    [[nodiscard]] const Box& bounds() const { return m_bounds; }
    [[nodiscard]] const std::vector<Prism>& prisms() const { return *m_prisms; }
    [[nodiscard]] const std::vector<double>& roofAmsl() const { return *m_roofAmsl; } ///< by prism index (m)
    [[nodiscard]] const std::vector<Crown>& crowns() const { return *m_crowns; }
    [[nodiscard]] const BoxIndex& prismIndex() const { return *m_prismIndex; }
    [[nodiscard]] const BoxIndex& crownIndex() const { return *m_crownIndex; }
    [[nodiscard]] const Terrain& terrain() const { return *m_terrain; }

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
    void window(PlanePoint centre, int radiusCells, int overview, std::vector<float>& rows,
                int& stride) const;

    [[nodiscard]] const SurfaceTile* tile(TileKey key) const;
    [[nodiscard]] const std::vector<std::shared_ptr<const SurfaceTile>>& tiles() const { return m_tiles; }

private:
    friend class SurfaceBuilder;
    double m_cellM = 2;
    Box m_bounds;
    std::shared_ptr<const Terrain> m_terrain;
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
    static Surface build(const Box& area, double cellM, std::shared_ptr<const Terrain> terrain,
                         std::vector<Prism> prisms, std::vector<Crown> crowns, unsigned threads = 0);
    /// As build with the new prisms, but tiles that meet none of `changed` are shared with `previous`. The
    /// same bytes as a fresh build.
    static Surface rebuild(const Surface& previous, const Box& area, std::shared_ptr<const Terrain> terrain,
                           std::vector<Prism> prisms, std::vector<Crown> crowns,
                           const std::vector<Box>& changed, unsigned threads = 0);
};

/// Digest of everything in the tiles under a box that can change a sight line there: the key of cached parts.
class Digester;
void addSurfaceKey(Digester& d, const Surface& s, const Box& under);

} // namespace fw
