// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/tile_pyramid.h"

#include "geo/web_grid.h"

#include <algorithm>
#include <cmath>
#include <cstring>

namespace fw {
namespace {

constexpr double kMostPixels = 16.0 * (1 << 20);
constexpr std::size_t kStandIns = 5;

/// A tile into its place in a picture of many.
void put(const Picture& tile, Picture& sheet, int x0, int y0, int w, int h) {
    const bool same = tile.width == w && tile.height == h;
    for (int y = 0; y < h; ++y) {
        std::uint8_t* to = sheet.row(y0 + y) + 4 * x0;
        const std::uint8_t* from = tile.row(same ? y : y * tile.height / h);
        if (same)
            std::memcpy(to, from, std::size_t{4} * static_cast<std::size_t>(w));
        else
            for (int x = 0; x < w; ++x) std::memcpy(to + 4 * x, from + 4 * (x * tile.width / w), 4);
    }
}

struct Sheet {
    Picture picture;
    Mesh::Lay lay;
    bool whole = true, stopped = false;
};

Sheet sheetOf(const TileLevel& level, const TileSpan& span, const TileOf& tile,
              const std::function<bool()>& goOn) {
    Sheet sheet;
    const auto w = level.tileWidth, h = level.tileHeight;
    sheet.lay = {level.left + static_cast<double>(span.col0) * w * level.perX,
                 level.top - static_cast<double>(span.row0) * h * level.perY, level.perX, -level.perY};
    for (std::int64_t row = span.row0; row <= span.row1; ++row)
        for (std::int64_t col = span.col0; col <= span.col1; ++col) {
            if (goOn && !goOn()) {
                sheet.stopped = true;
                return sheet;
            }
            const auto picture = tile(level, col, row);
            if (!picture || picture->empty()) {
                sheet.whole = false;
                continue;
            }
            if (sheet.picture.empty())
                sheet.picture = Picture(w * static_cast<int>(span.col1 - span.col0 + 1),
                                        h * static_cast<int>(span.row1 - span.row0 + 1));
            put(*picture, sheet.picture, w * static_cast<int>(col - span.col0),
                h * static_cast<int>(row - span.row0), w, h);
        }
    return sheet;
}

} // namespace

TileSpan tilesOver(const TileLevel& level, const Box& box) {
    const double w = level.perX * level.tileWidth, h = level.perY * level.tileHeight;
    const double right = level.left + static_cast<double>(level.cols) * w,
                 foot = level.top - static_cast<double>(level.rows) * h;
    if (box.empty() || !(box.x0 < right && box.x1 > level.left && box.y0 < level.top && box.y1 > foot))
        return {};
    const auto among = [](double at, std::int64_t count) {
        return static_cast<std::int64_t>(std::clamp(std::floor(at), 0.0, static_cast<double>(count - 1)));
    };
    return {among((box.x0 - level.left) / w, level.cols), among((level.top - box.y1) / h, level.rows),
            among((box.x1 - level.left) / w, level.cols), among((level.top - box.y0) / h, level.rows)};
}

std::size_t levelFor(const std::vector<TileLevel>& levels, double perPixel) {
    const auto away = [&](const TileLevel& l) { return std::fabs(std::log(l.perX / perPixel)); };
    std::size_t best = 0;
    for (std::size_t k = 1; k < levels.size(); ++k)
        if (away(levels[k]) <= away(levels[best])) best = k;
    return best;
}

bool drawPyramid(const Mesh& mesh, const std::vector<TileLevel>& levels, std::size_t best, const TileOf& tile,
                 Picture& out, const std::function<bool()>& goOn) {
    if (best >= levels.size() || mesh.bounds().empty()) return true;
    std::vector<Sheet> sheets; // the finest first
    for (std::size_t k = best + 1; k-- > 0 && best - k <= kStandIns;) {
        const TileLevel& level = levels[k];
        const TileSpan span = tilesOver(level, mesh.bounds());
        if (span.col1 < span.col0) continue;
        const double pixels = static_cast<double>(span.col1 - span.col0 + 1) *
                              static_cast<double>(span.row1 - span.row0 + 1) * level.tileWidth *
                              level.tileHeight;
        if (pixels > kMostPixels) continue;
        sheets.push_back(sheetOf(level, span, tile, goOn));
        if (sheets.back().stopped) return false;
        if (sheets.back().whole) break;
    }
    for (auto sheet = sheets.rbegin(); sheet != sheets.rend(); ++sheet)
        mesh.draw(sheet->picture, sheet->lay, out);
    return true;
}

std::vector<TileLevel> webLevels(int fromZoom, int toZoom) {
    std::vector<TileLevel> levels;
    for (int z = std::max(0, fromZoom); z <= std::min(toZoom, kMostWebZoom); ++z) {
        const double per = webPixelM(z);
        const std::int64_t side = std::int64_t{1} << z;
        levels.push_back({z, -kWebHalfM, kWebHalfM, per, per, kWebTilePx, kWebTilePx, side, side});
    }
    return levels;
}

} // namespace fw
