// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/raster_picture.h"

#include <gdal_priv.h>

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

int bandOf(GDALDataset& data, GDALColorInterp role) {
    for (int b = 1; b <= data.GetRasterCount(); ++b)
        if (data.GetRasterBand(b)->GetColorInterpretation() == role) return b;
    return 0;
}

/// Red, green, blue as the file names them, else its first three; one band where there are fewer.
std::vector<int> colorBands(GDALDataset& data, int alpha) {
    std::vector<int> named;
    for (const GDALColorInterp role : {GCI_RedBand, GCI_GreenBand, GCI_BlueBand})
        if (const int b = bandOf(data, role)) named.push_back(b);
    if (named.size() == 3) return named;
    std::vector<int> plain;
    for (int b = 1; b <= data.GetRasterCount(); ++b)
        if (b != alpha) plain.push_back(b);
    plain.resize(plain.size() >= 3 ? 3 : std::min<std::size_t>(1, plain.size()));
    return plain;
}

std::uint8_t byteOf(float v) { return static_cast<std::uint8_t>(std::clamp(v + 0.5F, 0.F, 255.F)); }

void put(std::uint8_t* to, float r, float g, float b, float alpha) {
    const float share = alpha / 255;
    to[0] = byteOf(r * share);
    to[1] = byteOf(g * share);
    to[2] = byteOf(b * share);
    to[3] = byteOf(alpha);
}

int askOn(double, const char*, void* goOn) {
    return (*static_cast<const std::function<bool()>*>(goOn))() ? TRUE : FALSE;
}

} // namespace

ColorReader::ColorReader(GDALDataset& data, std::optional<Stretch> stretch)
    : m_data(data), m_stretch(stretch.value_or(Stretch{})), m_alpha(bandOf(data, GCI_AlphaBand)),
      m_colors(colorBands(data, m_alpha)) {
    if (m_colors.empty()) m_colors = {1};
    GDALRasterBand& first = *data.GetRasterBand(m_colors[0]);
    m_table =
        m_colors.size() == 1 && first.GetColorInterpretation() == GCI_PaletteIndex && first.GetColorTable();
    m_mask = m_alpha == 0 && (first.GetMaskFlags() & (GMF_PER_DATASET | GMF_ALPHA)) == GMF_PER_DATASET;
    for (const int b : m_colors) {
        int declared = 0;
        const double v = data.GetRasterBand(b)->GetNoDataValue(&declared);
        m_noData.push_back(declared ? std::optional(static_cast<float>(v)) : std::nullopt);
    }
}

const char* ColorReader::kind() const {
    return m_table ? "a colour table" : m_colors.size() == 3 ? "red, green and blue" : "grey";
}

float ColorReader::scaled(float v) const {
    const double range = m_stretch.white - m_stretch.black;
    return static_cast<float>(range > 0 ? (v - m_stretch.black) * 255 / range : 0);
}

bool ColorReader::readBand(GDALRasterBand& band, const Window& w, const Picture& size, Cells& cells,
                           const std::function<bool()>& goOn) const {
    cells.resize(static_cast<std::size_t>(size.width) * static_cast<std::size_t>(size.height));
    GDALRasterIOExtraArg how;
    INIT_RASTERIO_EXTRA_ARG(how);
    const bool smaller = size.width < w.width || size.height < w.height;
    how.eResampleAlg = smaller && !m_table ? GRIORA_Average : GRIORA_NearestNeighbour;
    if (goOn) {
        how.pfnProgress = askOn;
        how.pProgressData = const_cast<std::function<bool()>*>(&goOn);
    }
    return band.RasterIO(GF_Read, w.x, w.y, w.width, w.height, cells.data(), size.width, size.height,
                         GDT_Float32, 0, 0, &how) == CE_None;
}

bool ColorReader::read(const Window& window, Picture& out, const std::function<bool()>& goOn) const {
    if (out.empty()) return true;
    std::vector<Cells> bands(m_colors.size());
    for (std::size_t k = 0; k < m_colors.size(); ++k)
        if (!readBand(*m_data.GetRasterBand(m_colors[k]), window, out, bands[k], goOn)) return false;
    Cells alpha;
    if (m_alpha != 0) {
        if (!readBand(*m_data.GetRasterBand(m_alpha), window, out, alpha, goOn)) return false;
        if (m_data.GetRasterBand(m_alpha)->GetRasterDataType() != GDT_Byte)
            for (float& a : alpha) a = a > 0 ? 255.F : 0.F;
    } else if (m_mask) {
        if (!readBand(*m_data.GetRasterBand(m_colors[0])->GetMaskBand(), window, out, alpha, goOn))
            return false;
    }
    if (m_table)
        tableFrom(bands[0], alpha, out);
    else
        colorsFrom(bands, alpha, out);
    return true;
}

void ColorReader::colorsFrom(const std::vector<Cells>& bands, const Cells& alpha, Picture& out) const {
    for (std::size_t i = 0; i < bands[0].size(); ++i) {
        // A pixel is missing where every band says so: one that does may be black for a reason.
        bool there = false;
        for (std::size_t k = 0; k < bands.size(); ++k)
            there = there || (std::isfinite(bands[k][i]) && (!m_noData[k] || bands[k][i] != *m_noData[k]));
        if (!there) continue;
        const float r = scaled(bands.front()[i]), b = scaled(bands.back()[i]),
                    g = bands.size() == 3 ? scaled(bands[1][i]) : r;
        const auto whole = [](float v) { return std::clamp(v, 0.F, 255.F); };
        put(&out.rgba[4 * i], whole(r), whole(g), whole(b), alpha.empty() ? 255.F : alpha[i]);
    }
}

void ColorReader::tableFrom(const Cells& cells, const Cells& alpha, Picture& out) const {
    const GDALColorTable& table = *m_data.GetRasterBand(m_colors[0])->GetColorTable();
    const int count = table.GetColorEntryCount();
    for (std::size_t i = 0; i < cells.size(); ++i) {
        const int entry = static_cast<int>(std::clamp(cells[i], -1.F, 65536.F));
        if (entry < 0 || entry >= count || (m_noData[0] && cells[i] == *m_noData[0])) continue;
        const GDALColorEntry& c = *table.GetColorEntry(entry);
        put(&out.rgba[4 * i], c.c1, c.c2, c.c3,
            static_cast<float>(c.c4) * (alpha.empty() ? 1.F : alpha[i] / 255));
    }
}

} // namespace fw
