// SPDX-License-Identifier: GPL-3.0-or-later
// What a ground tint shows, ready to be drawn at any scale: steps of a legend by pixel, in four resolutions.
#pragma once

#include "base/job.h"
#include "canvas/shown.h"
#include "geo/grid.h"
#include "study/indoor_coverage.h"
#include "study/rasters.h"
#include "study/study.h"

#include <QString>
#include <QStringList>

#include <array>
#include <cstdint>
#include <memory>
#include <vector>

namespace fw {

inline constexpr int kTintSteps = 8; ///< colours of a ramp, and of classes
inline constexpr int kPerStep = 32;  ///< values of an amount in one step of the legend
/// Between the steps of SINR (dB), on the map and on paper.
inline constexpr std::array<double, kTintSteps - 1> kSinrBounds{-5, 0, 5, 10, 15, 20, 25};
inline constexpr int kTintDetails = 4; ///< resolutions: 4, 8, 16 and 32 m

/// One tile. Values by pixel, row 0 in the south; 0: nothing there.
struct TintTile {
    /// Amounts: 1..255 along the legend's ramp, 32 to a step.
    std::array<std::vector<std::uint8_t>, kTintDetails> amount;
    /// Best server: place in TintPicture::classes + 1.
    std::array<std::vector<std::uint16_t>, kTintDetails> server;
};

/// What is asked for.
struct TintRequest {
    GroundTint tint = GroundTint::none;
    int carrier = -1; ///< layer of the study, or -1
    TintMoment moment = TintMoment::before;
    Storey storey = Storey::all;              ///< of indoor coverage
    std::optional<double> indoorFromDbm = {}; ///< of indoor coverage; empty: the plan's
    bool operator==(const TintRequest&) const = default;
};

/// What pictures of before, after and change are made from, shared by them. By tile and pixel, in the tint's
/// unit; NaN: nothing.
struct TintValues {
    std::vector<std::vector<float>> before, after;
    std::vector<std::vector<std::uint32_t>> serverBefore, serverAfter; ///< best server only
    std::shared_ptr<const IndoorCoverage> indoor;                      ///< indoor coverage only
};

/// Immutable once made; any number of threads draw from it.
struct TintPicture {
    GroundTint tint = GroundTint::none;
    int carrier = -1; ///< layer of the study, or -1
    TintMoment moment = TintMoment::before;
    Storey storey = Storey::all;
    double indoorFromDbm = 0;
    std::shared_ptr<const Study> study;
    int tileX0 = 0, tileY0 = 0, tilesW = 0, tilesH = 0;
    std::vector<TintTile> tiles; ///< row by row from the south-west

    std::vector<double> bounds; ///< between the kTintSteps steps of an amount, ascending
    double leastChange = 0;     ///< a change smaller than this is not coloured
    /// A sector or a small cell with ground of its own.
    struct Class {
        ItemId sector; ///< or small cell
        int color = 0; ///< of WindowPalette::classes; neighbours differ, small cells share theirs
        double areaHa = 0;
        bool small = false;
    };
    std::vector<Class> classes; ///< the largest first
    struct Fringe {
        ItemId cell;
        std::vector<Polygon> areas;
        Box bounds;
    };
    std::vector<Fringe> fringes;              ///< of congested cells, with demandFringe only
    std::vector<CostRaster> costs;            ///< what amounts were made from; empty for levels and servers
    std::shared_ptr<const TintValues> values; ///< null for what needs no small cells

    [[nodiscard]] const TintTile* tile(TileKey key) const {
        const int x = key.x - tileX0, y = key.y - tileY0;
        return x < 0 || y < 0 || x >= tilesW || y >= tilesH
                   ? nullptr
                   : &tiles[static_cast<std::size_t>(y * tilesW + x)];
    }
};

/// Makes a picture; long (a tenth of a second for a town): for a worker. Null when stopped, when there is
/// nothing to tint with, or when the carrier is not there.
std::shared_ptr<const TintPicture> makeTintPicture(const std::shared_ptr<const Study>& study,
                                                   const TintRequest& request, const Job& job = {});
inline std::shared_ptr<const TintPicture> makeTintPicture(const std::shared_ptr<const Study>& study,
                                                          GroundTint tint, int carrier, const Job& job = {}) {
    return makeTintPicture(study, TintRequest{tint, carrier}, job);
}

/// Before and after of one request with the same steps and colours, whatever moment it names. Both null as
/// above, or where the tint has no moments.
struct TintPair {
    std::shared_ptr<const TintPicture> before, after;
};
TintPair makeTintPair(const std::shared_ptr<const Study>& study, const TintRequest& request,
                      const Job& job = {});

/// Place of a value among bounds as pictures keep it: 32 to a step, 1..255.
std::uint8_t tintValue(const std::vector<double>& bounds, double value);

// For tint_picture.cpp and tint_change.cpp.
namespace tint_parts {
/// 97 % of the amounts lie below the last of the doubling bounds. Amounts over 0 only.
std::vector<double> doublingBounds(std::vector<float> amounts);
/// Amounts (0: none) of a tile in one resolution after another, each pixel the mean of four; the first step
/// ends at `first`.
void fillAmounts(TintTile& tile, std::vector<float> amounts, double first);
/// The coarser resolutions of values that are means of those that are there.
void coarsenLevels(TintTile& tile);
/// Classes, colours and servers of all tiles, `after` instead where it is not null.
void makeServers(TintPicture& p, const std::vector<std::vector<std::uint32_t>>& before,
                 const std::vector<std::vector<std::uint32_t>>* after);
/// A picture that small cells have a part in.
std::shared_ptr<const TintPicture> makeMoment(const std::shared_ptr<const Study>& study,
                                              const TintRequest& request, const Job& job);
} // namespace tint_parts

} // namespace fw
