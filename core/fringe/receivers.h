// SPDX-License-Identifier: GPL-3.0-or-later
// Where users are: open ground on 4 m pixels, and just outside facades by storey for those indoors.
#pragma once

#include "base/digest.h"
#include "plan/plan.h"
#include "surface/surface.h"

#include <cstdint>
#include <map>
#include <memory>
#include <vector>

namespace fw {

inline constexpr double kPixelM = 4.0;
inline constexpr int kTilePixels = 128; ///< pixels along a tile's side
inline constexpr int kTileArea = kTilePixels * kTilePixels;
inline constexpr auto kTilePixelCount = static_cast<std::size_t>(kTileArea);
inline constexpr double kPixelsInHectare = 10000 / (kPixelM * kPixelM);
inline constexpr double kStreetReceiverM = 1.5; ///< height of a device above ground

/// A group of users behind one stretch of facade on one storey.
struct IndoorReceiver {
    PlanePoint at;             ///< sample, 1 m outside the facade
    double groundAmsl = 0;     ///< ground there
    double aboveGroundM = 1.5; ///< of the device
    std::int32_t weight = 0;   ///< floor area it stands for, 1/256 m2, demand factor counted
    ItemId building;
    EntryKind entry = EntryKind::unknown;
    bool inArea = false; ///< inside a congestion area
};

/// Receivers of one 512 m tile. Pixel i is column i % 128, row i / 128 from the south-west; indoor receivers
/// belong to the tile of their building's centroid and are numbered from kTileArea on, ascending by building,
/// facade, storey.
struct TileReceivers {
    TileKey key;
    Digest digest;
    std::vector<std::uint8_t>
        openCells; ///< which of a pixel's four 2 m cells are open ground: SW 1, SE 2, NW 4, NE 8
    std::vector<std::int32_t> weight; ///< of pixels, 1/256 m2 of weighted open ground
    std::vector<std::uint8_t> inArea; ///< of pixels: centre inside a congestion area
    std::vector<float> groundAmsl;    ///< of pixels: ground at the centre
    std::vector<IndoorReceiver> indoor;
    [[nodiscard]] std::size_t size() const { return kTileArea + indoor.size(); }
    [[nodiscard]] std::int32_t weightOf(std::size_t i) const {
        return i < kTileArea ? weight[i] : indoor[i - kTileArea].weight;
    }
    [[nodiscard]] bool inAreaOf(std::size_t i) const {
        return i < kTileArea ? inArea[i] != 0 : indoor[i - kTileArea].inArea;
    }
    [[nodiscard]] PlanePoint placeOf(std::size_t i) const {
        if (i >= kTileArea) return indoor[i - kTileArea].at;
        return {key.x * kTileM + (static_cast<double>(i % kTilePixels) + 0.5) * kPixelM,
                key.y * kTileM + (static_cast<double>(i / kTilePixels) + 0.5) * kPixelM};
    }
};

/// What receivers are made from besides the surface.
struct DemandSources {
    const Plan* plan = nullptr;
    BoxIndex streets; ///< over the segments below
    std::vector<std::pair<PlanePoint, PlanePoint>> segments;
    std::vector<double> reach;                ///< half width and pavement of each segment's street (m)
    std::vector<const CongestionArea*> areas; ///< ascending by id
    std::vector<Box> areaBoxes;
    std::shared_ptr<const DemandGrid> demand;   ///< where the plan has a raster of it
    std::shared_ptr<const ClassGrid> landCover; ///< likewise
    std::map<std::int32_t, double> classWeights;
    double indoorShare = 0; ///< of a cell of `demand` that has buildings and open ground
};
DemandSources demandSources(const Plan& plan, const Terrain& terrain);

/// Digest of what makes a tile's receivers: equal digests mean equal receivers.
Digest receiversDigest(TileKey key, const Surface& surface, const DemandSources& sources,
                       const std::vector<Building>& buildings, const ModelSettings& settings);

/// @param buildings  whose centroid lies in the tile, ascending by id.
/// Weights: a square metre of floor counts 1; of open ground 1 in streets and on pavements, 0.25 elsewhere
/// [own], times ModelSettings::outdoorDensity; water (ground not above 0 m) counts nothing. Congestion areas
/// multiply. Storeys: lowest, middle and top each stand for a third (for two storeys a half), at 1.5 m above
/// their floor with 3.2 m a storey; up to four stretches of facade. A land-cover class that has a weight
/// takes the place of street, yard and water. A demand raster takes the place of both sides' weights: what a
/// cell of it holds is shared out inside it, the indoor share by floor area, the rest by weighted open ground
/// (all on one side where it has one only); a cell without either carries nothing.
std::shared_ptr<const TileReceivers> makeReceivers(TileKey key, const Surface& surface,
                                                   const DemandSources& sources,
                                                   const std::vector<Building>& buildings,
                                                   const ModelSettings& settings);

} // namespace fw
