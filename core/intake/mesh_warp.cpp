// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/mesh_warp.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace fw {
namespace {

bool there(PlanePoint p) { return std::isfinite(p.x) && std::isfinite(p.y); }

/// A pixel between four of the source, colours and alpha alike; false where the source has none.
bool sample(const Picture& source, double x, double y, std::array<unsigned, 4>& color) {
    if (!(x >= 0 && y >= 0 && x <= source.width && y <= source.height)) return false;
    const double u = std::clamp(x - 0.5, 0.0, source.width - 1.0),
                 v = std::clamp(y - 0.5, 0.0, source.height - 1.0);
    const int x0 = static_cast<int>(u), y0 = static_cast<int>(v);
    const int x1 = std::min(x0 + 1, source.width - 1), y1 = std::min(y0 + 1, source.height - 1);
    const auto fx = static_cast<unsigned>((u - x0) * 256), fy = static_cast<unsigned>((v - y0) * 256);
    const std::uint8_t *a = source.row(y0) + 4 * x0, *b = source.row(y0) + 4 * x1,
                       *c = source.row(y1) + 4 * x0, *d = source.row(y1) + 4 * x1;
    for (std::size_t k = 0; k < 4; ++k) {
        const unsigned top = a[k] * (256 - fx) + b[k] * fx, foot = c[k] * (256 - fx) + d[k] * fx;
        color[k] = (top * (256 - fy) + foot * fy + 32768) >> 16;
    }
    return true;
}

void lay(std::uint8_t* over, const std::array<unsigned, 4>& color) {
    const unsigned rest = 255 - std::min(255U, color[3]);
    for (std::size_t k = 0; k < 4; ++k)
        over[k] = static_cast<std::uint8_t>(std::min(255U, color[k] + (over[k] * rest + 127) / 255));
}

} // namespace

Mesh::Mesh(const Box& plan, int width, int height, const WayOut& way)
    : m_width(width), m_height(height), m_cols((width + kMeshPx - 1) / kMeshPx),
      m_rows((height + kMeshPx - 1) / kMeshPx) {
    if (width <= 0 || height <= 0) return;
    for (int r = 0; r <= m_rows; ++r)
        for (int c = 0; c <= m_cols; ++c)
            m_corners.push_back({plan.x0 + plan.width() * c * kMeshPx / width,
                                 plan.y1 - plan.height() * r * kMeshPx / height});
    way(m_corners);
    double squares = 0, area = 0;
    for (int r = 0; r <= m_rows; ++r)
        for (int c = 0; c <= m_cols; ++c) {
            const PlanePoint& p = corner(c, r);
            if (!there(p)) continue;
            m_bounds.add(p);
            if (c == m_cols || r == m_rows || !there(corner(c + 1, r)) || !there(corner(c, r + 1))) continue;
            area += std::fabs(cross(corner(c + 1, r) - p, corner(c, r + 1) - p));
            ++squares;
        }
    if (squares > 0) m_step = std::sqrt(area / squares) / kMeshPx;
}

PlanePoint Mesh::at(double x, double y) const {
    const int c = std::clamp(static_cast<int>(x / kMeshPx), 0, m_cols - 1),
              r = std::clamp(static_cast<int>(y / kMeshPx), 0, m_rows - 1);
    const double u = x / kMeshPx - c, v = y / kMeshPx - r;
    return (corner(c, r) * (1 - u) + corner(c + 1, r) * u) * (1 - v) +
           (corner(c, r + 1) * (1 - u) + corner(c + 1, r + 1) * u) * v;
}

void Mesh::draw(const Picture& source, const Lay& lay, Picture& out) const {
    if (source.empty() || out.width != m_width || out.height != m_height) return;
    for (int r = 0; r < m_rows; ++r)
        for (int c = 0; c < m_cols; ++c)
            if (there(corner(c, r)) && there(corner(c + 1, r)) && there(corner(c, r + 1)) &&
                there(corner(c + 1, r + 1)))
                drawSquare(source, lay, out, c, r);
}

void Mesh::drawSquare(const Picture& source, const Lay& where, Picture& out, int col, int row) const {
    const int x0 = col * kMeshPx, x1 = std::min(x0 + kMeshPx, m_width),
              y1 = std::min((row + 1) * kMeshPx, m_height);
    std::array<unsigned, 4> color{};
    for (int y = row * kMeshPx; y < y1; ++y) {
        const double v = (y + 0.5) / kMeshPx - row;
        const PlanePoint left = corner(col, row) * (1 - v) + corner(col, row + 1) * v,
                         right = corner(col + 1, row) * (1 - v) + corner(col + 1, row + 1) * v;
        const double u0 = (left.x - where.x) / where.perX, v0 = (left.y - where.y) / where.perY,
                     du = (right.x - left.x) / where.perX / kMeshPx,
                     dv = (right.y - left.y) / where.perY / kMeshPx;
        std::uint8_t* line = out.row(y);
        for (int x = x0; x < x1; ++x)
            if (sample(source, u0 + du * (x - x0 + 0.5), v0 + dv * (x - x0 + 0.5), color) && color[3] != 0)
                lay(line + std::size_t{4} * static_cast<std::size_t>(x), color);
    }
}

} // namespace fw
