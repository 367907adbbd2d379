// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/viewshed.h"

#include <gdal_alg.h>
#include <gdal_priv.h>

#include <algorithm>
#include <string>

namespace fw::bench {

ViewshedPeer::ViewshedPeer(const Surface& s, bool coarse) : m_cellM(s.cellM() * (coarse ? 2 : 1)) {
    GDALAllRegister();
    const Box b = s.bounds();
    m_x0 = b.x0;
    m_y1 = b.y1;
    m_width = static_cast<int>(b.width() / m_cellM);
    m_height = static_cast<int>(b.height() / m_cellM);
    m_cells.resize(static_cast<std::size_t>(m_width) * static_cast<std::size_t>(m_height));
    for (const auto& t : s.tiles()) {
        const Grid<float>& g = coarse ? t->coarse : t->top;
        const auto col = static_cast<std::size_t>((g.x0 - b.x0) / m_cellM);
        for (int r = 0; r < g.height; ++r) {
            const int row = m_height - 1 - static_cast<int>((g.y0 - b.y0) / m_cellM) - r;
            std::copy_n(&g.at(0, r), g.width,
                        &m_cells[static_cast<std::size_t>(row) * static_cast<std::size_t>(m_width) + col]);
        }
    }
    m_data = GetGDALDriverManager()->GetDriverByName("MEM")->Create("", m_width, m_height, 0, GDT_Float32,
                                                                    nullptr);
    char where[64] = {};
    where[CPLPrintPointer(where, m_cells.data(), sizeof where - 1)] = 0;
    std::string option = std::string("DATAPOINTER=") + where;
    char* options[] = {option.data(), nullptr};
    m_data->AddBand(GDT_Float32, options);
    double g[6] = {m_x0, m_cellM, 0, m_y1, 0, -m_cellM};
    m_data->SetGeoTransform(g);
}

ViewshedPeer::~ViewshedPeer() { GDALClose(m_data); }

double ViewshedPeer::topAt(PlanePoint p) const {
    const int col = std::clamp(static_cast<int>((p.x - m_x0) / m_cellM), 0, m_width - 1),
              row = std::clamp(static_cast<int>((m_y1 - p.y) / m_cellM), 0, m_height - 1);
    return double{m_cells[static_cast<std::size_t>(row) * static_cast<std::size_t>(m_width) +
                          static_cast<std::size_t>(col)]};
}

void ViewshedPeer::run(PlanePoint at, double antennaAmsl, double receiverM, double radiusM) const {
    GDALClose(GDALViewshedGenerate(m_data->GetRasterBand(1), "MEM", "", nullptr, at.x, at.y,
                                   antennaAmsl - topAt(at), receiverM, 255, 0, 0, -1, 0, GVM_Edge, radiusM,
                                   nullptr, nullptr, GVOT_NORMAL, nullptr));
}

} // namespace fw::bench
