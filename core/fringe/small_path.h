// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/crew.h"
#include "fringe/site_path.h"

namespace fw {

/// From one small-cell antenna position at one frequency to all receivers in reach: a square of pixels round
/// the mount, and the indoor receivers by tile.
struct SmallPath {
    PlanePoint centre; ///< where the sweep stood: the centre of its 2 m cell
    double antennaAmsl = 0;
    int pixelX = 0, pixelY = 0;          ///< the mount's pixel in the plan (x / 4 m)
    int radius = 0, side = 0;            ///< pixels
    int parity = 0;                      ///< which quarter of its pixel the antenna stands in
    std::vector<std::int16_t> loss;      ///< 0.01 dB, kNoPath; row 0 in the south
    std::vector<std::int16_t> elevation; ///< 0.1 deg
    std::vector<std::int8_t> clear;      ///< 1 where the pixel's open ground is in sight (most of its cells)
    struct Indoor {
        std::uint32_t receiver; ///< number in the tile (from kTileArea on)
        std::int16_t loss, azimuth, elevation;
        std::int8_t clear;
    };
    struct TileIndoor {
        TileKey key;
        std::vector<Indoor> list; ///< ascending by receiver
    };
    std::vector<TileIndoor> indoor; ///< tiles in reach, row by row
    [[nodiscard]] std::size_t index(int dx, int dy) const {
        return static_cast<std::size_t>((dy + radius) * side + dx + radius);
    }
};

struct SmallAntenna {
    PlanePoint at;
    double amsl = 0, reachM = 300;
    int ownPrism = -1;
    SmallPathModel model = SmallPathModel::belowRoofs;
};

/// Memory that the sweep of one thread uses again and again.
struct SmallScratch {
    SightScan scan;
    std::vector<float> street; ///< by cell of the scan: a device's height in the street (m above the datum)
    PathBend bend;
    std::vector<std::int16_t> fine;
};

/// One sweep; result by frequency. `tiles`: receivers of all tiles in reach (others are passed over). A crew
/// shares out what follows the sweep; the result is the same. `besides`: the caller's own work, done by the
/// crew while one of it sweeps; may be empty.
std::vector<std::shared_ptr<const SmallPath>>
smallPaths(const Surface& surface, const SmallAntenna& antenna, std::span<const Hertz> frequencies,
           std::span<const EntryTable* const> entry, std::span<const TileReceivers* const> tiles,
           SmallScratch& scratch, Crew* crew = nullptr, const std::function<void()>& besides = {});

/// Azimuths (0.1 deg, 0..3599) from an antenna in quarter `parity` of its pixel to the pixels' centres of row
/// dy; first entry is dx = -kSmallReach.
inline constexpr int kSmallReach = 128;
const std::int16_t* smallAzimuthRow(int parity, int dy);

} // namespace fw
