// SPDX-License-Identifier: GPL-3.0-or-later
// Buildings of a tile: outlines near, areas further off, and from where a house is a pixel or two the share
// of ground that they cover. Corners are read where the plan keeps them.
#include "canvas/tile_picture.h"

#include "theme/window_palette.h"

#include <QPainter>
#include <QPainterPath>

#include <algorithm>
#include <array>
#include <cmath>

namespace fw {

namespace {

constexpr double kSmallestPx = 3; // below that a footprint is a share of its pixels
constexpr std::size_t kShades = 6;

/// 0 for a house, 1 from a tall block on.
double tallness(float heightM) { return std::clamp((static_cast<double>(heightM) - 8) / 22, 0.0, 1.0); }

/// Ground that small footprints cover, by pixel.
class Cover {
public:
    void add(double x0, double y0, double x1, double y1, double areaPx, double tall) {
        if (m_share.empty()) {
            m_share.resize(std::size_t(kTilePx) * kTilePx);
            m_tall.resize(m_share.size());
        }
        const double w = std::max(x1 - x0, 1e-3), h = std::max(y1 - y0, 1e-3);
        const double density = std::min(1.0, areaPx / (w * h));
        const int cFrom = std::max(0, static_cast<int>(std::floor(x0))),
                  cTo = std::min(kTilePx - 1, static_cast<int>(std::floor(x1))),
                  rFrom = std::max(0, static_cast<int>(std::floor(y0))),
                  rTo = std::min(kTilePx - 1, static_cast<int>(std::floor(y1)));
        for (int r = rFrom; r <= rTo; ++r) {
            const double high = (std::min(y1, r + 1.0) - std::max(y0, double(r))) * density;
            for (int c = cFrom; c <= cTo; ++c) {
                const auto share =
                    static_cast<float>((std::min(x1, c + 1.0) - std::max(x0, double(c))) * high);
                const std::size_t i = std::size_t(r) * kTilePx + std::size_t(c);
                m_share[i] += share;
                m_tall[i] += share * static_cast<float>(tall);
            }
        }
    }
    void blendInto(QImage& image, const std::array<QColor, kShades>& shades) const {
        if (m_share.empty()) return;
        for (int r = 0; r < kTilePx; ++r) {
            auto* line = reinterpret_cast<QRgb*>(image.scanLine(r));
            for (int c = 0; c < kTilePx; ++c) {
                const std::size_t i = std::size_t(r) * kTilePx + std::size_t(c);
                if (m_share[i] <= 0) continue;
                const auto shade =
                    static_cast<std::size_t>(std::lround(m_tall[i] / m_share[i] * (kShades - 1)));
                const QRgb to = shades[std::min(shade, kShades - 1)].rgb();
                const int s = static_cast<int>(std::min(1.F, m_share[i]) * 256);
                const auto mix = [s](int u, int v) { return u + (((v - u) * s) >> 8); };
                const QRgb from = line[c];
                line[c] = qRgb(mix(qRed(from), qRed(to)), mix(qGreen(from), qGreen(to)),
                               mix(qBlue(from), qBlue(to)));
            }
        }
    }

private:
    std::vector<float> m_share, m_tall;
};

class Footprints {
public:
    explicit Footprints(TileBrush& brush) : m_brush(brush), m_painter(&brush.image) {
        const WindowPalette& c = brush.scene.colors;
        for (std::size_t k = 0; k < kShades; ++k)
            m_shades[k] = mixed(c.building, c.buildingTall, static_cast<double>(k) / (kShades - 1));
        m_painter.setRenderHint(QPainter::Antialiasing, brush.perWindowPixel() < 6);
        const double near = brush.perWindowPixel();
        if (near <= 1) {
            // Outlines come in gently, so that no zoom step makes the town jump.
            QColor edge = c.buildingEdge;
            edge.setAlphaF(static_cast<float>(std::clamp(1.6 - near, 0.6, 1.0)));
            m_painter.setPen(QPen(edge, std::max(1.0, brush.scene.pixelRatio * 0.9)));
        } else {
            m_painter.setPen(Qt::NoPen);
        }
    }
    void draw(const BuildingChunk& c, std::size_t i) {
        const auto shade = static_cast<std::size_t>(std::lround(tallness(c.heightM[i]) * (kShades - 1)));
        if (shade != m_shade) m_painter.setBrush(m_shades[m_shade = shade]);
        const std::uint32_t first = c.firstRing[i], end = c.firstRing[i + 1];
        if (end - first == 1) {
            take(c, first);
            m_painter.drawPolygon(m_points.data(), static_cast<int>(m_points.size()), Qt::OddEvenFill);
            return;
        }
        QPainterPath path;
        for (std::uint32_t ring = first; ring < end; ++ring) {
            take(c, ring);
            path.addPolygon(QPolygonF(QVector<QPointF>(m_points.begin(), m_points.end())));
            path.closeSubpath();
        }
        m_painter.drawPath(path);
    }
    [[nodiscard]] const std::array<QColor, kShades>& shades() const { return m_shades; }

private:
    void take(const BuildingChunk& c, std::uint32_t ring) {
        m_points.clear();
        for (std::uint32_t k = c.firstCorner[ring]; k < c.firstCorner[ring + 1]; ++k)
            m_points.push_back(m_brush.at(
                {c.originX + c.cornerMm[2 * k] * 0.001, c.originY + c.cornerMm[2 * k + 1] * 0.001}));
    }
    TileBrush& m_brush;
    QPainter m_painter;
    std::array<QColor, kShades> m_shades;
    std::size_t m_shade = kShades;
    std::vector<QPointF> m_points;
};

} // namespace

void paintBuildings(TileBrush& brush) {
    Cover cover;
    std::array<QColor, kShades> shades;
    {
        Footprints footprints(brush);
        shades = footprints.shades();
        const Box& box = brush.box;
        const double k = 0.001 / brush.perPixel;
        const Box reach = box.grown(2 * brush.perWindowPixel());
        brush.scene.index->buildings(
            reach, [&](const BuildingChunk& c, std::size_t i, const BuildingBoxes::Entry& e) {
                if (!brush.goOn()) return;
                const double w = (e.x1 - e.x0) * k, h = (e.y1 - e.y0) * k;
                if (std::max(w, h) >= kSmallestPx) return footprints.draw(c, i);
                const double x = (c.originX - box.x0) / brush.perPixel + e.x0 * k,
                             y = (box.y1 - c.originY) / brush.perPixel - e.y1 * k;
                cover.add(x, y, x + w, y + h, e.areaM2 / (brush.perPixel * brush.perPixel),
                          tallness(c.heightM[i]));
            });
    }
    if (!brush.stopped()) cover.blendInto(brush.image, shades);
}

} // namespace fw
