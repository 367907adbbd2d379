// SPDX-License-Identifier: GPL-3.0-or-later
// The part of a link that depends on position, height, receiver and frequency only: loss and angles. Azimuth,
// tilt and power weigh it again without a new sweep.
#pragma once

#include "fringe/receivers.h"
#include "plan/model_choices.h"
#include "surface/bend.h"

#include <array>
#include <memory>
#include <optional>
#include <span>
#include <vector>

namespace fw {

inline constexpr std::int16_t kNoPath = 32767; ///< receiver out of reach, or a pixel without open ground

/// Entry loss by kind of building and elevation of the path, 0.01 dB. Unknown kinds take the mix of
/// ModelSettings::efficientShare. Source: Rec. ITU-R P.2109-1, median; or 3GPP TR 38.901, 7.4.3: traditional
/// is its low loss, efficient its high one, at the median of the depths that it draws, alike at all
/// elevations.
class EntryTable {
public:
    EntryTable(Hertz f, double efficientShare, EntryModel model = EntryModel::p2109);
    [[nodiscard]] int centi(EntryKind kind, int elevationTenths) const {
        const int deg = (elevationTenths < 0 ? -elevationTenths : elevationTenths) / 10;
        return m_loss[static_cast<std::size_t>(kind)][static_cast<std::size_t>(deg > 90 ? 90 : deg)];
    }

private:
    std::array<std::array<std::int16_t, 91>, 3> m_loss{};
};

/// Directions from an antenna to a tile's indoor receivers, by their number less kTileArea, 0.1 deg.
struct IndoorAngles {
    std::vector<std::int16_t> azimuth; ///< grid
    std::vector<std::int16_t> elevation;
};

/// From one macro antenna position at one frequency to the receivers of one tile. Directions to pixels follow
/// from where the antenna stands: kept, they would take as much room as the loss.
struct PathSlice {
    std::vector<std::int16_t> loss;             ///< 0.01 dB, entry loss counted; kNoPath
    std::shared_ptr<const IndoorAngles> indoor; ///< shared between the antenna's frequencies
    float antennaAmsl = 0;
    int pixelX = 0, pixelY = 0; ///< the antenna's pixel, counted from the tile's south-west pixel
};
/// Elevations of a tile's row of pixels from the slice's antenna, 0.1 deg, kTilePixels of them.
void streetElevations(const PathSlice& s, const TileReceivers& tile, int row, std::int16_t* out);
/// The same for one receiver, pixel or indoors.
int elevationOf(const PathSlice& s, const TileReceivers& tile, std::size_t receiver);

/// A macro antenna stands at the centre of its 4 m pixel.
struct MacroAntenna {
    PlanePoint at;
    double groundAmsl = 0, amsl = 0;
    double reachM = 3000;
    MacroPathModel model = MacroPathModel::urbanMacro;
};

/// Memory that macroSlices() uses again from one antenna to the next: some 50 MB at 3 km.
struct MacroScratch {
    SightScan scan;
    std::vector<float> street; ///< by pixel of the scan: a device's height in the street (m above the datum)
    PathBend bend;
};

/// From an antenna to a receiver of a tile, as its slice and the maps have it: 0.1 deg.
struct Direction {
    int azimuth = 0; ///< grid, 0..3599
    int elevation = 0;
};
/// Empty beyond the antenna's reach.
std::optional<Direction> directionTo(const MacroAntenna& from, const TileReceivers& tile,
                                     std::size_t receiver);

/// How far to either side of a receiver a corner is looked for (m): a slice depends on what stands within
/// this of the paths to its tile.
inline constexpr double kMacroSideM = 24;

/// One sweep, then one slice per tile and frequency: result[tile * frequencies + f]. A slice is the same
/// whichever other tiles are given.
std::vector<std::shared_ptr<const PathSlice>> macroSlices(const Surface& surface, const MacroAntenna& antenna,
                                                          std::span<const Hertz> frequencies,
                                                          std::span<const EntryTable* const> entry,
                                                          std::span<const TileReceivers* const> tiles,
                                                          MacroScratch& scratch);

/// Azimuths (0.1 deg, 0..3599) from a pixel's centre to its neighbours, up to this many pixels away.
inline constexpr int kAzimuthReach = 800;
/// First entry is the pixel dx = -kAzimuthReach in the row dy.
const std::int16_t* macroAzimuthRow(int dy);

} // namespace fw
