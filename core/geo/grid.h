// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "geo/shape.h"

#include <cstddef>
#include <cstdint>
#include <vector>

namespace fw {

/// Rows of equal square cells. Row 0 is the *southern* row, column 0 the western one: index and coordinate
/// grow together. `x0`, `y0` is the south-west corner of cell (0, 0).
template <class T>
struct Grid {
    double x0 = 0, y0 = 0, cellM = 1;
    int width = 0, height = 0;
    std::vector<T> cells;

    Grid() = default;
    Grid(double x, double y, double cell, int w, int h, T fill = T{})
        : x0(x), y0(y), cellM(cell), width(w), height(h),
          cells(static_cast<std::size_t>(w) * static_cast<std::size_t>(h), fill) {}

    [[nodiscard]] bool empty() const { return cells.empty(); }
    [[nodiscard]] std::size_t index(int col, int row) const {
        return static_cast<std::size_t>(row) * static_cast<std::size_t>(width) +
               static_cast<std::size_t>(col);
    }
    [[nodiscard]] bool inside(int col, int row) const {
        return col >= 0 && row >= 0 && col < width && row < height;
    }
    T& at(int col, int row) { return cells[index(col, row)]; }
    const T& at(int col, int row) const { return cells[index(col, row)]; }
    [[nodiscard]] int colOf(double x) const { return static_cast<int>(std::floor((x - x0) / cellM)); }
    [[nodiscard]] int rowOf(double y) const { return static_cast<int>(std::floor((y - y0) / cellM)); }
    [[nodiscard]] PlanePoint centre(int col, int row) const {
        return {x0 + (col + 0.5) * cellM, y0 + (row + 0.5) * cellM};
    }
    [[nodiscard]] Box bounds() const { return {x0, y0, x0 + width * cellM, y0 + height * cellM}; }
};

/// All grids of a plan stand on multiples of this, so that growing the area changes no cell elsewhere.
inline constexpr double kTileM = 512.0;

/// Names a 512 m tile: its south-west corner is (x * 512, y * 512).
struct TileKey {
    std::int32_t x = 0, y = 0;
    auto operator<=>(const TileKey&) const = default;
    [[nodiscard]] Box bounds() const { return {x * kTileM, y * kTileM, (x + 1) * kTileM, (y + 1) * kTileM}; }
};
inline TileKey tileOf(PlanePoint p) {
    return {static_cast<std::int32_t>(std::floor(p.x / kTileM)),
            static_cast<std::int32_t>(std::floor(p.y / kTileM))};
}
/// Tiles that hold a point of the box, row by row from the south-west. A tile owns its southern and western
/// edges, so a box that ends on a border also names the tile beyond it.
std::vector<TileKey> tilesOf(const Box& box);

} // namespace fw
