// SPDX-License-Identifier: GPL-3.0-or-later
// The island: coast and heights, in metres east and north of the town's own origin.
#pragma once

#include "geo/grid.h"
#include "geo/shape.h"

namespace fw::town {

class Land {
public:
    Land();
    /// Distance to the shore (m): positive on land, negative at sea.
    [[nodiscard]] double inlandM(PlanePoint p) const;
    /// Ground above the sea (m); 0 at sea.
    [[nodiscard]] double heightM(PlanePoint p) const;
    [[nodiscard]] const Ring& coast() const { return m_coast; }

    /// Heights of the whole island, in quarter metres so that the file packs well.
    [[nodiscard]] Grid<float> raster(PlanePoint origin, const Box& area, double cellM) const;

private:
    [[nodiscard]] double hillsM(PlanePoint p) const;
    [[nodiscard]] double roughHeightM(PlanePoint p) const;
    void smoothHeights(const Box& area);
    Ring m_coast;
    std::vector<Ring> m_moles;
    Grid<double> m_heights;
};

/// Bends the drawing board's straight lines into the town's: smooth and one to one, so that nothing that is
/// apart on the board meets in the town.
PlanePoint bent(PlanePoint p);
/// A line or ring bent, with corners added so that no stretch is longer than `stepM`.
Line bentLine(const Line& line, double stepM);
Ring bentRing(const Ring& ring, double stepM);

} // namespace fw::town
