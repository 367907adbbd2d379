// SPDX-License-Identifier: GPL-3.0-or-later
#include "fringe/site_path.h"

#include "base/log_exp.h"
#include "fringe/path_kernel.h"
#include "fringe/pattern_table.h"
#include "radio/building_entry.h"
#include "radio/outdoor_to_indoor.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace fw {
namespace {

constexpr double kEffectiveEarthM = 8500e3; // 4/3 of the earth's radius
constexpr int kAzimuthSide = 2 * kAzimuthReach + 1;

int wrapTenths(int t) { return t >= 3600 ? t - 3600 : t < 0 ? t + 3600 : t; }

struct TileWork {
    const TileReceivers* tile = nullptr;
    int pixelX = 0, pixelY = 0; // antenna's pixel from the tile's south-west pixel
};

// Outdoor pixels of one tile: rows of the scan that fall into it.
void outdoorLoss(const SightScan& scan, const TileWork& w, const LossModel& model, double bulge,
                 std::vector<std::int16_t>& loss) {
    std::array<float, kTilePixels> z{};
    for (int row = 0; row < kTilePixels; ++row) {
        const int dy = row - w.pixelY;
        if (dy < -scan.radius || dy > scan.radius) continue;
        const int half = static_cast<int>(std::sqrt(double(scan.radius) * scan.radius - double(dy) * dy));
        const int c0 = std::max(0, w.pixelX - half), c1 = std::min(kTilePixels - 1, w.pixelX + half);
        if (c0 > c1) continue;
        const std::size_t base = static_cast<std::size_t>(row) * kTilePixels;
        for (int c = c0; c <= c1; ++c)
            z[static_cast<std::size_t>(c)] =
                w.tile->groundAmsl[base + static_cast<std::size_t>(c)] + static_cast<float>(kStreetReceiverM);
        const std::size_t s = scan.index(c0 - w.pixelX, dy);
        lossRow(model, c1 - c0 + 1, static_cast<float>((c0 - w.pixelX) * kPixelM),
                static_cast<float>(kPixelM), static_cast<float>(dy * kPixelM),
                static_cast<float>(scan.antennaAmsl), static_cast<float>(bulge), z.data() + c0,
                &scan.edgeSlope[s], &scan.edgeDistM[s], &loss[base + static_cast<std::size_t>(c0)]);
        for (int c = c0; c <= c1; ++c)
            if (!w.tile->openCells[base + static_cast<std::size_t>(c)])
                loss[base + static_cast<std::size_t>(c)] = kNoPath;
    }
}

void outdoorElevation(const SightScan& scan, const TileWork& w, std::vector<std::int16_t>& out) {
    std::array<float, kTilePixels> z{};
    for (int row = 0; row < kTilePixels; ++row) {
        const std::size_t base = static_cast<std::size_t>(row) * kTilePixels;
        for (std::size_t c = 0; c < kTilePixels; ++c)
            z[c] = w.tile->groundAmsl[base + c] + static_cast<float>(kStreetReceiverM);
        elevationRow(kTilePixels, static_cast<float>(-w.pixelX * kPixelM), static_cast<float>(kPixelM),
                     static_cast<float>((row - w.pixelY) * kPixelM), static_cast<float>(scan.antennaAmsl),
                     z.data(), &out[base]);
    }
}

} // namespace

EntryTable::EntryTable(Hertz f, double efficientShare, EntryModel model) {
    if (model == EntryModel::o2i) {
        const auto all = [&](EntryKind kind, Db loss) {
            m_loss[static_cast<std::size_t>(kind)].fill(
                static_cast<std::int16_t>(std::floor(loss.v * 100 + 0.5)));
        };
        all(EntryKind::traditional, indoorLossMedian(WallKind::low, f));
        all(EntryKind::efficient, indoorLossMedian(WallKind::high, f));
        all(EntryKind::unknown, indoorLossMedianMix(f, efficientShare));
        return;
    }
    for (std::size_t deg = 0; deg <= 90; ++deg) {
        const double e = static_cast<double>(deg);
        auto centi = [](Db loss) { return static_cast<std::int16_t>(std::floor(loss.v * 100 + 0.5)); };
        m_loss[static_cast<std::size_t>(EntryKind::traditional)][deg] =
            centi(entryLoss(EntryClass::traditional, f, e, 0.5));
        m_loss[static_cast<std::size_t>(EntryKind::efficient)][deg] =
            centi(entryLoss(EntryClass::efficient, f, e, 0.5));
        m_loss[static_cast<std::size_t>(EntryKind::unknown)][deg] =
            centi(entryLossMedianMix(f, e, efficientShare));
    }
}

const std::int16_t* macroAzimuthRow(int dy) {
    static const std::vector<std::int16_t> table = [] {
        std::vector<std::int16_t> t(static_cast<std::size_t>(kAzimuthSide) * kAzimuthSide);
        auto put = [&](int x, int y, int tenth) {
            t[static_cast<std::size_t>(y + kAzimuthReach) * kAzimuthSide +
              static_cast<std::size_t>(x + kAzimuthReach)] = static_cast<std::int16_t>(wrapTenths(tenth));
        };
        for (int y = 0; y <= kAzimuthReach; ++y) // one quarter, mirrored
            for (int x = 0; x <= kAzimuthReach; ++x) {
                const int a = tenths(atan2DegFixed(x, y)); // from north, clockwise
                put(x, y, a);
                put(x, -y, 1800 - a);
                put(-x, -y, 1800 + a);
                put(-x, y, 3600 - a);
            }
        return t;
    }();
    return &table[static_cast<std::size_t>(dy + kAzimuthReach) * kAzimuthSide];
}

std::vector<std::shared_ptr<const PathSlice>> macroSlices(const Surface& surface, const MacroAntenna& antenna,
                                                          std::span<const Hertz> frequencies,
                                                          std::span<const EntryTable* const> entry,
                                                          std::span<const TileReceivers* const> tiles) {
    SightScan scan;
    ScanSpec spec;
    spec.at = antenna.at;
    spec.antennaAmsl = antenna.amsl;
    spec.radiusCells = std::min(kAzimuthReach, static_cast<int>(antenna.reachM / kPixelM));
    spec.overview = static_cast<int>(std::lround(kPixelM / surface.cellM()));
    scanSight(surface, spec, scan);
    const double bulge = 1 / (2 * kEffectiveEarthM);
    const double hBs = std::max(2.0, antenna.amsl - antenna.groundAmsl);
    std::vector<LossModel> street;
    for (const Hertz f : frequencies) street.push_back(macroModel(f, hBs, kStreetReceiverM, antenna.model));

    // Storeys have few heights: one pair of lines a height and frequency. The model's stated range of
    // terminal heights ends at 22.5 m.
    std::map<double, std::vector<LossModel>> byHeight;
    auto modelsFor = [&](double aboveGroundM) -> const std::vector<LossModel>& {
        const double h = std::min(aboveGroundM, 22.5);
        auto& models = byHeight[h];
        if (models.empty())
            for (const Hertz f : frequencies) models.push_back(macroModel(f, hBs, h, antenna.model));
        return models;
    };

    std::vector<std::shared_ptr<const PathSlice>> out;
    for (const TileReceivers* tile : tiles) {
        TileWork w{tile, 0, 0};
        w.pixelX = static_cast<int>(std::floor((scan.centre.x - tile->key.x * kTileM) / kPixelM));
        w.pixelY = static_cast<int>(std::floor((scan.centre.y - tile->key.y * kTileM) / kPixelM));
        auto elevation = std::make_shared<std::vector<std::int16_t>>(tile->size(), std::int16_t{0});
        auto azimuth = std::make_shared<std::vector<std::int16_t>>(tile->indoor.size(), std::int16_t{0});
        outdoorElevation(scan, w, *elevation);
        std::vector<std::shared_ptr<PathSlice>> slices;
        for (std::size_t f = 0; f < frequencies.size(); ++f) {
            auto s = std::make_shared<PathSlice>();
            s->loss.assign(tile->size(), kNoPath);
            s->pixelX = w.pixelX;
            s->pixelY = w.pixelY;
            outdoorLoss(scan, w, street[f], bulge, s->loss);
            slices.push_back(std::move(s));
        }
        for (std::size_t k = 0; k < tile->indoor.size(); ++k) {
            const IndoorReceiver& r = tile->indoor[k];
            const double dx = r.at.x - scan.centre.x, dy = r.at.y - scan.centre.y, d2 = dx * dx + dy * dy;
            const int cx = static_cast<int>(std::floor(dx / kPixelM + 0.5)),
                      cy = static_cast<int>(std::floor(dy / kPixelM + 0.5));
            if (!scan.covers(cx, cy)) continue;
            const double z = r.groundAmsl + r.aboveGroundM, d = std::sqrt(d2 > 0.01 ? d2 : 0.01);
            const int el = tenths(atan2DegFixed(z - scan.antennaAmsl, d));
            (*elevation)[kTileArea + k] = static_cast<std::int16_t>(el);
            (*azimuth)[k] = static_cast<std::int16_t>(wrapTenths(tenths(wrap360(atan2DegFixed(dx, dy)))));
            const std::size_t s = scan.index(cx, cy);
            const PathGeometry g{static_cast<float>(d), static_cast<float>(z - scan.antennaAmsl - d2 * bulge),
                                 scan.edgeSlope[s], scan.edgeDistM[s]};
            const auto& models = modelsFor(r.aboveGroundM);
            for (std::size_t f = 0; f < frequencies.size(); ++f)
                slices[f]->loss[kTileArea + k] = static_cast<std::int16_t>(
                    std::min(32766, lossCenti(models[f], g) + entry[f]->centi(r.entry, el)));
        }
        for (auto& s : slices) {
            s->elevation = elevation;
            s->indoorAzimuth = azimuth;
            out.push_back(std::move(s));
        }
    }
    return out;
}

} // namespace fw
