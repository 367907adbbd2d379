// SPDX-License-Identifier: GPL-3.0-or-later
// Pictures of another plane, drawn into a picture of the plan.
#pragma once

#include "geo/shape.h"
#include "intake/picture.h"

#include <functional>
#include <vector>

namespace fw {

/// Brings places of the plan into another plane, in place; NaN where there is none.
using WayOut = std::function<void(std::vector<PlanePoint>& places)>;

/// Where the pixels of a picture of the plan lie in another plane: exact at corners of squares of kMeshPx
/// pixels, in straight lines between. The error grows with the square of a square's side on the ground:
/// between a UTM zone and spherical Mercator below 0.01 pixels at 10 m a pixel and 0.1 at 400 m, up to 70 deg
/// of latitude.
class Mesh {
public:
    /// A picture of `width` x `height` pixels over a box of the plan, north up.
    Mesh(const Box& plan, int width, int height, const WayOut& way);

    [[nodiscard]] int width() const { return m_width; }
    [[nodiscard]] int height() const { return m_height; }
    /// Of all corners that have a place; empty when none has.
    [[nodiscard]] const Box& bounds() const { return m_bounds; }
    /// Length in the other plane that one pixel has, mean over the picture; 0 when nothing has a place.
    [[nodiscard]] double step() const { return m_step; }
    /// Of a place in the picture (pixels from its north-west corner); NaN where a corner has none.
    [[nodiscard]] PlanePoint at(double x, double y) const;

    /// How a picture lies in the other plane: its first corner and the size of its pixels, downwards as the
    /// sign of `perY` says.
    struct Lay {
        double x = 0, y = 0, perX = 1, perY = -1;
    };
    /// Draws a picture of the other plane over what is in `out`, between the middles of its pixels in
    /// straight lines; outside of it nothing.
    void draw(const Picture& source, const Lay& lay, Picture& out) const;

private:
    void drawSquare(const Picture& source, const Lay& lay, Picture& out, int col, int row) const;
    [[nodiscard]] const PlanePoint& corner(int col, int row) const {
        return m_corners[static_cast<std::size_t>(row) * static_cast<std::size_t>(m_cols + 1) +
                         static_cast<std::size_t>(col)];
    }

    int m_width, m_height, m_cols, m_rows;
    std::vector<PlanePoint> m_corners;
    Box m_bounds;
    double m_step = 0;
};

inline constexpr int kMeshPx = 32;

} // namespace fw
