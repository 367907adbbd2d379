// SPDX-License-Identifier: GPL-3.0-or-later
// Which buildings with users lie on which 4 m pixels: what happens to users indoors is drawn on their
// building's footprint. Private to core/study.
#pragma once

#include "study/state.h"

#include <cstdint>
#include <vector>

namespace fw {

class RoofMap {
public:
    /// Cells of the surface in one pixel that one building owns.
    struct Patch {
        std::uint32_t pixel = 0, building = 0; ///< place in buildings()
        std::uint32_t cells = 0;
    };
    struct Building {
        ItemId id;
        std::size_t tile = 0, first = 0; ///< of its receivers: tile of the baseline, first of them indoors
        std::size_t receivers = 0;
        std::uint32_t cells = 0; ///< that it owns in the study's tiles; never 0
    };

    /// A building too slim to own a cell of the surface gets the one below its first facade.
    explicit RoofMap(const Baseline& base);

    [[nodiscard]] const std::vector<Building>& buildings() const { return m_buildings; } ///< ascending by id
    [[nodiscard]] const std::vector<Patch>& patches(std::size_t tile) const { return m_patches[tile]; }
    /// Place of the building with the receivers of that id, or -1.
    [[nodiscard]] int place(ItemId building) const;

private:
    void addTile(const Baseline& base, std::size_t tile);
    std::vector<Building> m_buildings;
    std::vector<std::vector<Patch>> m_patches; ///< by tile, in the order of the surface's cells
};

} // namespace fw
