// SPDX-License-Identifier: GPL-3.0-or-later
#include "geo/web_grid.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace fw {

namespace {

constexpr double kRadiusM = 6378137; // semi-major axis of WGS 84
constexpr double kRad = std::numbers::pi / 180;

std::int64_t tileAt(double pixels, std::int64_t last) {
    return std::clamp<std::int64_t>(static_cast<std::int64_t>(std::floor(pixels / kWebTilePx)), 0, last);
}

} // namespace

// EPSG guidance note 7-2, 3.2.1.2 "Popular Visualisation Pseudo Mercator".
std::optional<PlanePoint> toWeb(GeoPoint p) {
    const double y =
        kRadiusM * std::log(std::tan(std::numbers::pi / 4 + std::clamp(p.latDeg, -89.9, 89.9) * kRad / 2));
    const PlanePoint web{kRadiusM * p.lonDeg * kRad, y};
    if (!(std::fabs(web.x) <= kWebHalfM && std::fabs(web.y) <= kWebHalfM)) return std::nullopt;
    return web;
}

GeoPoint fromWeb(PlanePoint p) {
    return {std::atan(std::sinh(p.y / kRadiusM)) / kRad, p.x / kRadiusM / kRad};
}

double webPixelM(int zoom) { return std::ldexp(2 * kWebHalfM / kWebTilePx, -zoom); }

Box boundsOf(const WebTile& tile) {
    const double side = webPixelM(tile.zoom) * kWebTilePx;
    const double x = -kWebHalfM + static_cast<double>(tile.col) * side,
                 y = kWebHalfM - static_cast<double>(tile.row) * side;
    return {x, y - side, x + side, y};
}

WebTileRange webTilesOver(const Box& web, int zoom) {
    WebTileRange range;
    range.zoom = zoom;
    constexpr double kHalf = kWebHalfM;
    if (web.empty() || !(web.x0 < kHalf && web.x1 > -kHalf && web.y0 < kHalf && web.y1 > -kHalf))
        return range;
    const double perPixel = webPixelM(zoom);
    const std::int64_t last = (std::int64_t{1} << zoom) - 1;
    // The far edge belongs to the next tile: a hair less, so that touching is no meeting.
    const auto from = [&](double m) { return tileAt(m / perPixel, last); };
    const auto to = [&](double m) { return tileAt(std::nextafter(m / perPixel, 0), last); };
    range.firstCol = from(web.x0 + kHalf);
    range.lastCol = std::max(range.firstCol, to(web.x1 + kHalf));
    range.firstRow = from(kHalf - web.y1);
    range.lastRow = std::max(range.firstRow, to(kHalf - web.y0));
    return range;
}

Box webBoundsOf(const Box& plan, const Frame& frame) {
    Box out;
    constexpr int kSteps = 8;
    for (int i = 0; i <= kSteps; ++i)
        for (int k = 0; k <= kSteps; ++k) {
            const auto geo =
                frame.toGeo({plan.x0 + plan.width() * i / kSteps, plan.y0 + plan.height() * k / kSteps});
            if (!geo) continue;
            if (const auto web = toWeb(*geo)) out.add(*web);
        }
    return out;
}

} // namespace fw
