// SPDX-License-Identifier: GPL-3.0-or-later
// Ground of a tile: land, light on slopes, water.
#include "canvas/tile_picture.h"

#include "theme/window_palette.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace fw {

const std::vector<float>& ShadedTerrain::light() const {
    look();
    return m_light;
}

const std::vector<float>& ShadedTerrain::water() const {
    look();
    return m_water;
}

void ShadedTerrain::look() const {
    std::call_once(m_once, [this] {
        const Grid<float>& h = m_terrain->heights;
        m_light.resize(h.cells.size());
        // Heights are drawn up: real slopes of a coast town would hardly show.
        constexpr double kRaise = 1.8;
        for (int row = 0; row < h.height; ++row)
            for (int col = 0; col < h.width; ++col) {
                const int w = std::max(0, col - 1), e = std::min(h.width - 1, col + 1),
                          s = std::max(0, row - 1), n = std::min(h.height - 1, row + 1);
                const double gx = kRaise * (h.at(e, row) - h.at(w, row)) / (std::max(1, e - w) * h.cellM),
                             gy = kRaise * (h.at(col, n) - h.at(col, s)) / (std::max(1, n - s) * h.cellM);
                const double lambert = (0.5 * gx - 0.5 * gy + 0.7071) / std::sqrt(gx * gx + gy * gy + 1);
                m_light[h.index(col, row)] = static_cast<float>(std::clamp(lambert - 0.7071, -1.0, 1.0));
            }
        m_water.resize(h.cells.size());
        for (std::size_t i = 0; i < m_water.size(); ++i) m_water[i] = h.cells[i] <= 0 ? 1.F : 0.F;
    });
}

namespace {

/// Land colours from deep shade to full light.
std::array<QRgb, 256> landRamp(const WindowPalette& colors, bool shaded) {
    std::array<QRgb, 256> ramp{};
    const QColor dark = colors.dark ? QColor(0, 0, 0) : QColor(0x5a, 0x66, 0x70), light(255, 255, 255);
    for (int i = 0; i < 256; ++i) {
        const double v = shaded ? (i - 128) / 127.0 : 0;
        const double reach = colors.dark ? (v < 0 ? 0.9 : 0.28) : (v < 0 ? 0.75 : 0.9);
        const QColor c = mixed(colors.ground, v < 0 ? dark : light, std::min(0.6, std::abs(v) * reach));
        ramp[static_cast<std::size_t>(i)] = c.rgb();
    }
    return ramp;
}

QRgb blend(QRgb a, QRgb b, double share) {
    const int s = static_cast<int>(share * 256);
    const auto mix = [s](int u, int v) { return u + (((v - u) * s) >> 8); };
    return qRgb(mix(qRed(a), qRed(b)), mix(qGreen(a), qGreen(b)), mix(qBlue(a), qBlue(b)));
}

/// Weights of a cubic B-spline along one axis: a shore between square cells comes out as a smooth line.
struct Step {
    std::array<int, 4> cell;
    std::array<float, 4> weight;
};
std::vector<Step> stepsAlong(double from, double step, int count, int cells) {
    std::vector<Step> out(static_cast<std::size_t>(count));
    for (int i = 0; i < count; ++i) {
        const double at = std::clamp(from + step * i, -2.0, cells + 1.0);
        const int cell = static_cast<int>(std::floor(at));
        const auto t = static_cast<float>(at - cell), u = 1 - t;
        Step& s = out[static_cast<std::size_t>(i)];
        for (int k = 0; k < 4; ++k)
            s.cell[static_cast<std::size_t>(k)] = std::clamp(cell - 1 + k, 0, cells - 1);
        s.weight = {u * u * u / 6, (3 * t * t * t - 6 * t * t + 4) / 6, (3 * u * u * u - 6 * u * u + 4) / 6,
                    t * t * t / 6};
    }
    return out;
}

/// Brings rows of a grid to rows of pixels.
class Resampler {
public:
    Resampler(const std::vector<float>& cells, int width, const std::vector<Step>& columns)
        : m_cells(cells), m_width(static_cast<std::size_t>(width)), m_columns(columns), m_row(m_width),
          m_from(static_cast<std::size_t>(columns.front().cell[0])),
          m_to(static_cast<std::size_t>(columns.back().cell[3]) + 1) {}
    void row(const Step& r, std::vector<float>& out) {
        std::array<const float*, 4> line{};
        for (std::size_t k = 0; k < 4; ++k) line[k] = &m_cells[static_cast<std::size_t>(r.cell[k]) * m_width];
        for (std::size_t c = m_from; c < m_to; ++c)
            m_row[c] = line[0][c] * r.weight[0] + line[1][c] * r.weight[1] + line[2][c] * r.weight[2] +
                       line[3][c] * r.weight[3];
        const float* in = m_row.data();
        for (std::size_t i = 0; i < m_columns.size(); ++i) {
            const Step& c = m_columns[i];
            out[i] = in[c.cell[0]] * c.weight[0] + in[c.cell[1]] * c.weight[1] + in[c.cell[2]] * c.weight[2] +
                     in[c.cell[3]] * c.weight[3];
        }
    }

private:
    const std::vector<float>& m_cells;
    std::size_t m_width;
    const std::vector<Step>& m_columns;
    std::vector<float> m_row;
    std::size_t m_from, m_to;
};

} // namespace

void paintGround(QImage& image, const TileScene& scene, const MapTileKey& key) {
    image.fill(scene.colors.ground);
    if (!scene.ground || scene.ground->terrain().heights.empty()) return;
    const Grid<float>& h = scene.ground->terrain().heights;
    const std::vector<float>& light = scene.ground->light();
    const auto ramp = landRamp(scene.colors, scene.hillshade);
    const QRgb water = scene.colors.water.rgb();
    const Box box = key.bounds();
    const double step = key.metresPerPixel / h.cellM;
    const auto columns = stepsAlong((box.x0 - h.x0) / h.cellM - 0.5 + step / 2, step, kTilePx, h.width);
    const auto rows = stepsAlong((box.y1 - h.y0) / h.cellM - 0.5 - step / 2, -step, kTilePx + 1, h.height);
    std::vector<float> here(kTilePx), below(kTilePx), shade(kTilePx);
    Resampler waters(scene.ground->water(), h.width, columns), lights(light, h.width, columns);
    const auto waterOf = [&](int y, std::vector<float>& out) {
        waters.row(rows[static_cast<std::size_t>(y)], out);
    };
    waterOf(0, below);
    for (int y = 0; y < kTilePx; ++y) {
        here.swap(below);
        waterOf(y + 1, below);
        lights.row(rows[static_cast<std::size_t>(y)], shade);
        auto* line = reinterpret_cast<QRgb*>(image.scanLine(y));
        for (std::size_t x = 0; x < kTilePx; ++x) {
            const int i = std::clamp(128 + static_cast<int>(shade[x] * 127), 0, 255);
            line[x] = ramp[static_cast<std::size_t>(i)];
            // Half water is the shore, smoothed over one pixel: how far away it is follows from the slope.
            const float share = here[x];
            if (share <= 0) continue;
            const float slope =
                std::abs((x + 1 < kTilePx ? here[x + 1] : here[x - 1]) - share) + std::abs(below[x] - share);
            const float wet = slope > 0 ? 0.5F + (share - 0.5F) / slope : (share > 0.5F ? 1.F : 0.F);
            if (wet >= 1)
                line[x] = water;
            else if (wet > 0)
                line[x] = blend(line[x], water, wet);
        }
    }
}

} // namespace fw
