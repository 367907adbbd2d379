// SPDX-License-Identifier: GPL-3.0-or-later
// What a ground tint shows, ready to be drawn at any scale: steps of a legend by pixel, in four resolutions.
#pragma once

#include "base/job.h"
#include "canvas/shown.h"
#include "geo/grid.h"
#include "study/rasters.h"
#include "study/study.h"

#include <QString>
#include <QStringList>

#include <array>
#include <cstdint>
#include <memory>
#include <vector>

namespace fw {

inline constexpr int kTintSteps = 8;   ///< colours of a ramp, and of classes
inline constexpr int kTintDetails = 4; ///< resolutions: 4, 8, 16 and 32 m

/// One tile. Values by pixel, row 0 in the south; 0: nothing there.
struct TintTile {
    /// Amounts: 1..255 along the legend's ramp, 32 to a step.
    std::array<std::vector<std::uint8_t>, kTintDetails> amount;
    /// Best server: place in TintPicture::classes + 1.
    std::array<std::vector<std::uint16_t>, kTintDetails> server;
};

/// Immutable once made; any number of threads draw from it.
struct TintPicture {
    GroundTint tint = GroundTint::none;
    int carrier = -1; ///< layer of the study, or -1
    std::shared_ptr<const Study> study;
    int tileX0 = 0, tileY0 = 0, tilesW = 0, tilesH = 0;
    std::vector<TintTile> tiles; ///< row by row from the south-west

    std::vector<double> bounds; ///< between the kTintSteps steps of an amount, ascending
    /// A sector with ground of its own.
    struct Class {
        ItemId sector;
        int color = 0; ///< of WindowPalette::classes; neighbours differ
        double areaHa = 0;
    };
    std::vector<Class> classes; ///< the largest first
    struct Fringe {
        ItemId cell;
        std::vector<Polygon> areas;
        Box bounds;
    };
    std::vector<Fringe> fringes;   ///< of congested cells, with demandFringe only
    std::vector<CostRaster> costs; ///< what amounts were made from; empty for levels and servers

    [[nodiscard]] const TintTile* tile(TileKey key) const {
        const int x = key.x - tileX0, y = key.y - tileY0;
        return x < 0 || y < 0 || x >= tilesW || y >= tilesH
                   ? nullptr
                   : &tiles[static_cast<std::size_t>(y * tilesW + x)];
    }
};

/// Makes a picture; long (a tenth of a second for a town): for a worker. Null when stopped, when there is
/// nothing to tint with, or when the carrier is not there.
std::shared_ptr<const TintPicture> makeTintPicture(const std::shared_ptr<const Study>& study, GroundTint tint,
                                                   int carrier, const Job& job = {});

} // namespace fw
