// SPDX-License-Identifier: GPL-3.0-or-later
#include "fringe/site_path.h"

#include "base/log_exp.h"
#include "base/wide.h"
#include "fringe/path_kernel.h"
#include "fringe/pattern_table.h"
#include "radio/building_entry.h"
#include "radio/outdoor_to_indoor.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace fw {
namespace {

constexpr double kEffectiveEarthM = 8500e3; // 4/3 of the earth's radius
constexpr int kAzimuthSide = 2 * kAzimuthReach + 1;

int wrapTenths(int t) { return t >= 3600 ? t - 3600 : t < 0 ? t + 3600 : t; }

struct TileWork {
    const TileReceivers* tile = nullptr;
    int pixelX = 0, pixelY = 0; // antenna's pixel from the tile's south-west pixel
};

// Pixels [from, to) to the side of an antenna.
struct Span {
    int from, to;
    [[nodiscard]] Span within(int radius) const {
        return {std::max(from, -radius), std::min(to, radius + 1)};
    }
};

// Devices over the ground of the given tiles and of what lies beside them; what is farther off is left as it
// was. A slice is the same whichever other tiles are given.
void streetReceivers(const Surface& surface, const SightScan& scan,
                     std::span<const TileReceivers* const> tiles, std::vector<float>& out) {
    constexpr int kBeside = static_cast<int>(kMacroSideM / kPixelM);
    constexpr auto kDevice = static_cast<float>(kStreetReceiverM);
    out.resize(scan.top.size());
    const int pixelX = static_cast<int>(std::floor(scan.centre.x / kPixelM)),
              pixelY = static_cast<int>(std::floor(scan.centre.y / kPixelM));
    std::set<TileKey> given;
    for (const TileReceivers* tile : tiles) given.insert(tile->key);
    for (const TileReceivers* tile : tiles) {
        const int x0 = tile->key.x * kTilePixels - pixelX, y0 = tile->key.y * kTilePixels - pixelY;
        const Span cols = Span{x0, x0 + kTilePixels}.within(scan.radius),
                   rows = Span{y0, y0 + kTilePixels}.within(scan.radius);
        for (int dy = rows.from; dy < rows.to; ++dy) {
            const float* ground = &tile->groundAmsl[static_cast<std::size_t>(dy - y0) * kTilePixels];
            float* to = &out[scan.index(0, dy)];
            for (int dx = cols.from; dx < cols.to; ++dx) to[dx] = ground[dx - x0] + kDevice;
        }
        const auto beside = [](int at, int side) {
            return side < 0   ? Span{at - kBeside, at}
                   : side > 0 ? Span{at + kTilePixels, at + kTilePixels + kBeside}
                              : Span{at, at + kTilePixels};
        };
        for (int oy = -1; oy <= 1; ++oy)
            for (int ox = -1; ox <= 1; ++ox) {
                if (given.count({tile->key.x + ox, tile->key.y + oy})) continue; // as is its own
                const Span xs = beside(x0, ox).within(scan.radius), ys = beside(y0, oy).within(scan.radius);
                for (int dy = ys.from; dy < ys.to; ++dy)
                    for (int dx = xs.from; dx < xs.to; ++dx) {
                        const PlanePoint p{(pixelX + dx + 0.5) * kPixelM, (pixelY + dy + 0.5) * kPixelM};
                        out[scan.index(dx, dy)] = static_cast<float>(surface.groundAt(p)) + kDevice;
                    }
            }
    }
}

// Where a row's pixels have no open cell there is no path.
FW_WIDE void closeBuilt(int n, const std::uint8_t* open, std::int16_t* loss) {
    for (int i = 0; i < n; ++i) loss[i] = open[i] ? loss[i] : kNoPath;
}

// Outdoor pixels of one tile: rows of the scan that fall into it.
void outdoorLoss(const SightScan& scan, const std::vector<float>& street, const std::vector<float>& bend,
                 const TileWork& w, const LossModel& model, double bulge, std::vector<std::int16_t>& loss) {
    for (int row = 0; row < kTilePixels; ++row) {
        const int dy = row - w.pixelY;
        if (dy < -scan.radius || dy > scan.radius) continue;
        const int half = static_cast<int>(std::sqrt(double(scan.radius) * scan.radius - double(dy) * dy));
        const int c0 = std::max(0, w.pixelX - half), c1 = std::min(kTilePixels - 1, w.pixelX + half);
        if (c0 > c1) continue;
        const std::size_t base = static_cast<std::size_t>(row) * kTilePixels;
        const std::size_t s = scan.index(c0 - w.pixelX, dy);
        lossRow(model, c1 - c0 + 1, static_cast<float>((c0 - w.pixelX) * kPixelM),
                static_cast<float>(kPixelM), static_cast<float>(dy * kPixelM),
                static_cast<float>(scan.antennaAmsl), static_cast<float>(bulge), &street[s], &bend[s],
                &loss[base + static_cast<std::size_t>(c0)]);
        const std::size_t first = base + static_cast<std::size_t>(c0);
        closeBuilt(c1 - c0 + 1, &w.tile->openCells[first], &loss[first]);
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

namespace {

// An antenna's pixel from a tile's south-west one, and its height.
struct SeenFrom {
    int pixelX = 0, pixelY = 0;
    float amsl = 0;
};

SeenFrom placeOf(const PathSlice& s) { return {s.pixelX, s.pixelY, s.antennaAmsl}; }

void pixelElevations(const SeenFrom& from, const TileReceivers& tile, int column, int row, int n,
                     std::int16_t* out) {
    std::array<float, kTilePixels> z{};
    const float* ground = &tile.groundAmsl[static_cast<std::size_t>(row * kTilePixels + column)];
    for (int c = 0; c < n; ++c)
        z[static_cast<std::size_t>(c)] = ground[c] + static_cast<float>(kStreetReceiverM);
    elevationRow(n, static_cast<float>((column - from.pixelX) * kPixelM), static_cast<float>(kPixelM),
                 static_cast<float>((row - from.pixelY) * kPixelM), from.amsl, z.data(), out);
}

int pixelElevation(const SeenFrom& from, const TileReceivers& tile, std::size_t pixel) {
    std::int16_t one = 0;
    const int i = static_cast<int>(pixel);
    pixelElevations(from, tile, i % kTilePixels, i / kTilePixels, 1, &one);
    return one;
}

// Where a device indoors lies from an antenna's pixel.
struct IndoorPlace {
    IndoorPlace(const IndoorReceiver& r, PlanePoint from, double antennaAmsl)
        : dx(r.at.x - from.x), dy(r.at.y - from.y), d2(dx * dx + dy * dy), z(r.groundAmsl + r.aboveGroundM),
          distance(std::sqrt(d2 > 0.01 ? d2 : 0.01)),
          column(static_cast<int>(std::floor(dx / kPixelM + 0.5))),
          row(static_cast<int>(std::floor(dy / kPixelM + 0.5))), rise(z - antennaAmsl) {}
    [[nodiscard]] int azimuth() const { return wrapTenths(tenths(wrap360(atan2DegFixed(dx, dy)))); }
    [[nodiscard]] int elevation() const { return tenths(atan2DegFixed(rise, distance)); }
    double dx, dy, d2;
    double z; // of the device, m above the datum
    double distance;
    int column, row; // of its pixel, from the antenna's
    double rise;
};

int radiusOf(const MacroAntenna& a) { return std::min(kAzimuthReach, static_cast<int>(a.reachM / kPixelM)); }

} // namespace

void streetElevations(const PathSlice& s, const TileReceivers& tile, int row, std::int16_t* out) {
    pixelElevations(placeOf(s), tile, 0, row, kTilePixels, out);
}

int elevationOf(const PathSlice& s, const TileReceivers& tile, std::size_t receiver) {
    return receiver >= kTileArea ? s.indoor->elevation[receiver - kTileArea]
                                 : pixelElevation(placeOf(s), tile, receiver);
}

std::optional<Direction> directionTo(const MacroAntenna& from, const TileReceivers& tile,
                                     std::size_t receiver) {
    const double column = std::floor(from.at.x / kPixelM), row = std::floor(from.at.y / kPixelM);
    const int radius = radiusOf(from);
    const auto covers = [&](int dx, int dy) { return dx * dx + dy * dy <= radius * radius; };
    if (receiver >= kTileArea) {
        const IndoorPlace p(tile.indoor[receiver - kTileArea],
                            {(column + 0.5) * kPixelM, (row + 0.5) * kPixelM}, from.amsl);
        if (!covers(p.column, p.row)) return {};
        return Direction{p.azimuth(), p.elevation()};
    }
    const SeenFrom seen{static_cast<int>(column - tile.key.x * kTilePixels),
                        static_cast<int>(row - tile.key.y * kTilePixels), static_cast<float>(from.amsl)};
    const int dx = static_cast<int>(receiver % kTilePixels) - seen.pixelX,
              dy = static_cast<int>(receiver / kTilePixels) - seen.pixelY;
    if (!covers(dx, dy)) return {};
    return Direction{macroAzimuthRow(dy)[dx + kAzimuthReach], pixelElevation(seen, tile, receiver)};
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
                                                          std::span<const TileReceivers* const> tiles,
                                                          MacroScratch& scratch) {
    SightScan& scan = scratch.scan;
    ScanSpec spec;
    spec.at = antenna.at;
    spec.antennaAmsl = antenna.amsl;
    spec.radiusCells = radiusOf(antenna);
    spec.overview = static_cast<int>(std::lround(kPixelM / surface.cellM()));
    scanSight(surface, spec, scan);
    streetReceivers(surface, scan, tiles, scratch.street);
    scratch.bend.follow(scan, scratch.street, kMacroSideM);
    const double bulge = 1 / (2 * kEffectiveEarthM);
    const double hBs = std::max(2.0, antenna.amsl - antenna.groundAmsl);
    std::vector<LossModel> models;
    for (const Hertz f : frequencies) models.push_back(macroModel(f, hBs, kStreetReceiverM, antenna.model));

    // Storeys have few heights: one pair of lines a height and frequency. The model's stated range of
    // terminal heights ends at 22.5 m.
    std::vector<std::pair<double, std::vector<LossModel>>> byHeight;
    auto modelsFor = [&](double aboveGroundM) -> const std::vector<LossModel>& {
        const double h = std::min(aboveGroundM, 22.5);
        for (const auto& [height, lines] : byHeight)
            if (height == h) return lines;
        byHeight.emplace_back(h, std::vector<LossModel>{});
        for (const Hertz f : frequencies)
            byHeight.back().second.push_back(macroModel(f, hBs, h, antenna.model));
        return byHeight.back().second;
    };

    std::vector<std::shared_ptr<const PathSlice>> out;
    for (const TileReceivers* tile : tiles) {
        TileWork w{tile, 0, 0};
        w.pixelX = static_cast<int>(std::floor((scan.centre.x - tile->key.x * kTileM) / kPixelM));
        w.pixelY = static_cast<int>(std::floor((scan.centre.y - tile->key.y * kTileM) / kPixelM));
        auto indoor = std::make_shared<IndoorAngles>();
        indoor->azimuth.assign(tile->indoor.size(), 0);
        indoor->elevation.assign(tile->indoor.size(), 0);
        std::vector<std::shared_ptr<PathSlice>> slices;
        for (std::size_t f = 0; f < frequencies.size(); ++f) {
            auto s = std::make_shared<PathSlice>();
            s->loss.assign(tile->size(), kNoPath);
            s->antennaAmsl = static_cast<float>(scan.antennaAmsl);
            s->pixelX = w.pixelX;
            s->pixelY = w.pixelY;
            outdoorLoss(scan, scratch.street, scratch.bend.plane(), w, models[f], bulge, s->loss);
            slices.push_back(std::move(s));
        }
        for (std::size_t k = 0; k < tile->indoor.size(); ++k) {
            const IndoorReceiver& r = tile->indoor[k];
            const IndoorPlace p(r, scan.centre, scan.antennaAmsl);
            if (!scan.covers(p.column, p.row)) continue;
            // The storeys of a facade lie one above the other.
            const bool above = k > 0 && tile->indoor[k - 1].at == r.at;
            indoor->azimuth[k] = above ? indoor->azimuth[k - 1] : static_cast<std::int16_t>(p.azimuth());
            const int elevation = p.elevation();
            indoor->elevation[k] = static_cast<std::int16_t>(elevation);
            const PathGeometry g{static_cast<float>(p.distance), static_cast<float>(p.rise - p.d2 * bulge),
                                 scratch.bend.at(p.column, p.row, p.distance, p.z)};
            const auto& atHeight = modelsFor(r.aboveGroundM);
            for (std::size_t f = 0; f < frequencies.size(); ++f)
                slices[f]->loss[kTileArea + k] = static_cast<std::int16_t>(
                    std::min(32766, lossCenti(atHeight[f], g) + entry[f]->centi(r.entry, elevation)));
        }
        for (auto& s : slices) {
            s->indoor = indoor;
            out.push_back(std::move(s));
        }
    }
    return out;
}

} // namespace fw
