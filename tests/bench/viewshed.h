// SPDX-License-Identifier: GPL-3.0-or-later
// Line of sight by the general geographic library (GDALViewshedGenerate), in this process, on rasters in
// memory.
#pragma once

#include "surface/surface.h"

#include <vector>

class GDALDataset;

namespace fw::bench {

/// The tops of a surface as one raster, rows from the north.
class ViewshedPeer {
public:
    /// @param coarse  the overview of twice the cell instead of full cells.
    explicit ViewshedPeer(const Surface& surface, bool coarse = false);
    ~ViewshedPeer();
    ViewshedPeer(const ViewshedPeer&) = delete;
    ViewshedPeer& operator=(const ViewshedPeer&) = delete;

    [[nodiscard]] double cellM() const { return m_cellM; }
    /// Top of the raster's cell at a place (m above the datum).
    [[nodiscard]] double topAt(PlanePoint p) const;
    /// What an antenna sees of receivers `receiverM` over the tops within `radiusM`; as the library does it.
    void run(PlanePoint at, double antennaAmsl, double receiverM, double radiusM) const;

private:
    std::vector<float> m_cells;
    double m_x0, m_y1, m_cellM;
    int m_width, m_height;
    GDALDataset* m_data = nullptr;
};

} // namespace fw::bench
