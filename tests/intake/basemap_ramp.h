// SPDX-License-Identifier: GPL-3.0-or-later
// Pictures of the ground whose colours say which of their pixels they are, and PROJ as judge of where they
// lie.
#pragma once

#include "catch.h"
#include "geo/web_grid.h"
#include "intake/basemap.h"
#include "intake/picture_files.h"
#include "store/folder.h"

#include <cmath>
#include <string>
#include <vector>

namespace fw::testing {

inline constexpr int kPlan = 32629; // UTM zone 29N
inline constexpr PlanePoint kMiddle{680000, 5910000};

inline Frame planFrame() { return *Frame::fromEpsg(kPlan); }
inline Box round(PlanePoint p, double half) { return {p.x - half, p.y - half, p.x + half, p.y + half}; }

inline Color ramp(int col, int row) {
    return {static_cast<std::uint8_t>(20 + 4 * col), static_cast<std::uint8_t>(20 + 4 * row), 200, 255};
}
inline constexpr int kSide = 56; // 20 + 4 * 55 = 240

/// A picture of kSide pixels of `cell` around the plan's middle.
inline PictureLay layIn(int epsg, double cell, double cellY = 0) {
    const PlanePoint c = Judge(kPlan, epsg)(kMiddle);
    const double down = cellY > 0 ? cellY : cell;
    return {c.x - cell * kSide / 2, c.y + down * kSide / 2, cell, kSide, kSide, epsg, cellY};
}

inline BasemapHead headOf(const BasemapFile& what) {
    const auto head = lookAtBasemap(what, planFrame());
    INFO((head ? "" : head.error().sentence()));
    REQUIRE(head.ok());
    return *head;
}
inline std::string refusal(const std::filesystem::path& file) {
    const auto head = lookAtBasemap({file, {}, 0}, planFrame());
    return head ? "taken" : head.error().sentence();
}
inline Picture pictureOf(const BasemapFile& what, const Box& box, int side) {
    const auto reader = BasemapReader::open(what, planFrame());
    INFO((reader ? "" : reader.error().sentence()));
    REQUIRE(reader.ok());
    auto picture = (*reader)->read(box, side, side);
    INFO((picture ? "" : picture.error().sentence()));
    REQUIRE(picture.ok());
    REQUIRE(picture->width == side);
    return *picture;
}
inline Color at(const Picture& p, int x, int y) {
    const std::uint8_t* c = p.row(y) + 4 * x;
    return {c[0], c[1], c[2], c[3]};
}

// Towards a tile that is not there a picture fades over half a pixel.
inline constexpr double kFade = 0.55;

/// Each pixel shows the place of the picture that PROJ names, to `tolerance` of the picture's pixels.
inline void checkRamp(const Picture& picture, const Box& box, const PictureLay& lay, double tolerance) {
    const Judge judge(kPlan, lay.epsg);
    int seen = 0, beyond = 0, missing = 0;
    double worst = 0;
    for (int y = 0; y < picture.height; ++y)
        for (int x = 0; x < picture.width; ++x) {
            const PlanePoint p = judge({box.x0 + (x + 0.5) * box.width() / picture.width,
                                        box.y1 - (y + 0.5) * box.height() / picture.height});
            const double col = (p.x - lay.x0) / lay.cell, row = (lay.yTop - p.y) / lay.down();
            const Color c = at(picture, x, y);
            const double out = std::max(std::max(-col, col - kSide), std::max(-row, row - kSide));
            beyond += out > kFade && c[3] != 0;
            if (out > -1) continue; // within a pixel of the edge a ramp ends
            ++seen;
            missing += c[3] != 255;
            worst = std::max({worst, std::fabs((c[0] - 20) / 4.0 - (col - 0.5)),
                              std::fabs((c[1] - 20) / 4.0 - (row - 0.5))});
        }
    INFO("worst " << worst << " of " << seen);
    CHECK(seen > 500);
    CHECK(beyond == 0);
    CHECK(missing == 0);
    CHECK(worst < tolerance);
}

// A level of colour is a quarter of a pixel, rounded to half of it; the mesh adds less than 0.1
// (mesh_warp.h).
inline constexpr double kRampTolerance = 0.25;

/// A picture on the web's grid as tiles of a file, with overviews.
inline void writeTiles(const std::filesystem::path& file, const std::string& driver,
                       const std::vector<std::string>& options, const PictureLay& lay,
                       const std::vector<std::pair<std::string, std::string>>& metadata = {}) {
    writePicture(file, lay, ramp, {.driver = driver, .options = options, .metadata = metadata});
}

/// On the grid of zoom 14: 9.55 m in the plane, 5.7 m on the ground here.
inline PictureLay onWebGrid() {
    PictureLay lay = layIn(3857, webPixelM(14));
    const auto snapped = [&](double v) { return std::round(v / lay.cell) * lay.cell; };
    lay.x0 = snapped(lay.x0);
    lay.yTop = snapped(lay.yTop);
    return lay;
}

/// One tile in one colour, packed as the driver does.
inline std::string tileBytes(const std::filesystem::path& folder, const std::string& driver, int side,
                             Color color = {90, 90, 90, 255}) {
    const std::filesystem::path file = folder / ("tile." + driver);
    writePicture(file, {0, 0, 1, side, side, 0}, [&](int, int) { return color; }, {.driver = driver});
    return bytesOf(file);
}

} // namespace fw::testing
