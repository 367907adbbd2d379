// SPDX-License-Identifier: GPL-3.0-or-later
#include "fringe/small_path.h"

#include "base/log_exp.h"
#include "fringe/path_kernel.h"
#include "fringe/pattern_table.h"

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

constexpr int kSide = 2 * kSmallReach + 1;

constexpr int kRowsAtOnce = 32;
constexpr double kSmallSideM = 60; // from there on the bend round a side is above the bound without sight

// Calls body(from, to) for all of [begin, end), some rows at a time.
void inBands(Crew* crew, int begin, int end, const std::function<void(int, int)>& body) {
    const int bands = (end - begin + kRowsAtOnce - 1) / kRowsAtOnce;
    forEach(crew, static_cast<std::size_t>(std::max(0, bands)), [&](std::size_t k) {
        const int from = begin + static_cast<int>(k) * kRowsAtOnce;
        body(from, std::min(end, from + kRowsAtOnce));
    });
}

// Loss of every fine cell of the scan, at 1.5 m above the ground (only open cells are used later).
void fineLoss(const SightScan& scan, const LossModel& model, SmallScratch& scratch, Crew* crew) {
    scratch.fine.resize(scan.top.size());
    const int n = 2 * scan.radius + 1;
    const float cell = static_cast<float>(scan.cellM);
    inBands(crew, -scan.radius, scan.radius + 1, [&](int from, int to) {
        for (int dy = from; dy < to; ++dy) {
            const std::size_t s = scan.index(-scan.radius, dy);
            lossRow(model, n, static_cast<float>(-scan.radius) * cell, cell, static_cast<float>(dy) * cell,
                    static_cast<float>(scan.antennaAmsl), 0, &scratch.street[s], &scratch.bend.plane()[s],
                    &scratch.fine[s]);
        }
    });
}

// Where a device would be held in each cell of the scan: over the ground, houses too.
void streetReceivers(const Surface& surface, const SightScan& scan, std::vector<float>& out) {
    int stride = 0;
    surface.groundWindow(scan.centre, scan.radius, out, stride);
    for (float& z : out) z += static_cast<float>(kStreetReceiverM);
}

bool inSight(const SightScan& scan, std::size_t s, double d, double z) {
    return (z - scan.antennaAmsl) > scan.edgeSlope[s] * d;
}

// Mean over a pixel's open cells; they are 2 m cells, or the pixel itself where the surface is that coarse.
struct PixelSum {
    int loss = 0, open = 0, clear = 0;
};

struct FineFrame {
    int cellsPerPixel, x0,
        y0; // fine cell of the pixel (dx, dy) = (0, 0)'s south-west corner, from the scan's middle
};

// Rows from `from` to before `to` of the plan, as far as they lie in the tile.
void fillPixels(SmallPath& out, const SightScan& scan, const std::vector<std::int16_t>& fine,
                const FineFrame& f, const TileReceivers& tile, int from, int to) {
    const int tx = tile.key.x * kTilePixels, ty = tile.key.y * kTilePixels;
    const int c0 = std::max(tx, out.pixelX - out.radius),
              c1 = std::min(tx + kTilePixels - 1, out.pixelX + out.radius);
    const int r0 = std::max(ty, from), r1 = std::min(ty + kTilePixels, to) - 1;
    std::array<float, kTilePixels> z{};
    for (int y = r0; y <= r1; ++y) {
        const int dy = y - out.pixelY;
        const std::size_t row = static_cast<std::size_t>(y - ty) * kTilePixels;
        for (int x = c0; x <= c1; ++x)
            z[static_cast<std::size_t>(x - c0)] = tile.groundAmsl[row + static_cast<std::size_t>(x - tx)];
        if (c0 <= c1)
            elevationRow(c1 - c0 + 1, static_cast<float>((c0 + 0.5) * kPixelM - out.centre.x),
                         static_cast<float>(kPixelM), static_cast<float>((y + 0.5) * kPixelM - out.centre.y),
                         static_cast<float>(out.antennaAmsl - kStreetReceiverM), z.data(),
                         &out.elevation[out.index(c0 - out.pixelX, dy)]);
        for (int x = c0; x <= c1; ++x) {
            const int bits = tile.openCells[row + static_cast<std::size_t>(x - tx)];
            const int dx = x - out.pixelX;
            if (!bits) continue;
            PixelSum sum;
            for (int k = 0; k < 4; ++k) {
                if (!(bits >> k & 1)) continue;
                const int step = f.cellsPerPixel > 1 ? 1 : 0;
                const int cx = f.x0 + dx * f.cellsPerPixel + (k & 1) * step,
                          cy = f.y0 + dy * f.cellsPerPixel + (k >> 1) * step;
                if (!scan.covers(cx, cy)) continue;
                const std::size_t s = scan.index(cx, cy);
                sum.loss += fine[s];
                ++sum.open;
                const double d = scan.cellM * std::sqrt(double(cx) * cx + double(cy) * cy);
                sum.clear += inSight(scan, s, d, scan.top[s] + kStreetReceiverM);
            }
            if (!sum.open) continue;
            const std::size_t i = out.index(dx, dy);
            out.loss[i] = static_cast<std::int16_t>(sum.loss / sum.open);
            out.clear[i] = 2 * sum.clear >= sum.open;
        }
    }
}

// The model at the storeys' heights: one, where it asks for none.
class StoreyModels {
public:
    StoreyModels(Hertz f, SmallPathModel model)
        : m_f(f), m_model(model), m_street(smallCellModel(f, model)) {}
    [[nodiscard]] const LossModel& street() const { return m_street; }
    [[nodiscard]] LossModel at(double aboveGroundM) const {
        if (m_model == SmallPathModel::belowRoofs) return m_street;
        return smallCellModel(m_f, m_model, std::clamp(aboveGroundM, kStreetReceiverM, 22.5));
    }

private:
    Hertz m_f;
    SmallPathModel m_model;
    LossModel m_street;
};

SmallPath::TileIndoor indoorOf(const SightScan& scan, const PathBend& bend, const StoreyModels& models,
                               const EntryTable& entry, const TileReceivers& tile, double reachM) {
    SmallPath::TileIndoor ti{tile.key, {}};
    for (std::size_t k = 0; k < tile.indoor.size(); ++k) {
        const IndoorReceiver& r = tile.indoor[k];
        const double dx = r.at.x - scan.centre.x, dy = r.at.y - scan.centre.y, d2 = dx * dx + dy * dy;
        if (d2 > reachM * reachM) continue;
        const int cx = static_cast<int>(std::floor(dx / scan.cellM + 0.5)),
                  cy = static_cast<int>(std::floor(dy / scan.cellM + 0.5));
        if (!scan.covers(cx, cy)) continue;
        const std::size_t s = scan.index(cx, cy);
        const double d = std::sqrt(d2 > 0.01 ? d2 : 0.01), z = r.groundAmsl + r.aboveGroundM;
        const int el = tenths(atan2DegFixed(z - scan.antennaAmsl, d));
        const PathGeometry g{static_cast<float>(d), static_cast<float>(z - scan.antennaAmsl),
                             bend.at(cx, cy, d, z)};
        const int loss = std::min(32766, lossCenti(models.at(r.aboveGroundM), g) + entry.centi(r.entry, el));
        int az = tenths(wrap360(atan2DegFixed(dx, dy)));
        if (az >= 3600) az -= 3600;
        ti.list.push_back({static_cast<std::uint32_t>(kTileArea + k), static_cast<std::int16_t>(loss),
                           static_cast<std::int16_t>(az), static_cast<std::int16_t>(el),
                           inSight(scan, s, d, z)});
    }
    return ti;
}

} // namespace

const std::int16_t* smallAzimuthRow(int parity, int dy) {
    static const std::vector<std::int16_t> table = [] {
        std::vector<std::int16_t> t(static_cast<std::size_t>(4 * kSide) * kSide);
        for (int p = 0; p < 4; ++p)
            for (int y = -kSmallReach; y <= kSmallReach; ++y)
                for (int x = -kSmallReach; x <= kSmallReach; ++x) {
                    const double ex = x * kPixelM + (p & 1 ? -1 : 1), ey = y * kPixelM + (p & 2 ? -1 : 1);
                    const int a = tenths(wrap360(atan2DegFixed(ex, ey)));
                    t[static_cast<std::size_t>(((p * kSide) + y + kSmallReach) * kSide + x + kSmallReach)] =
                        static_cast<std::int16_t>(a >= 3600 ? a - 3600 : a);
                }
        return t;
    }();
    return &table[static_cast<std::size_t>((parity * kSide + dy + kSmallReach) * kSide)];
}

std::vector<std::shared_ptr<const SmallPath>>
smallPaths(const Surface& surface, const SmallAntenna& antenna, std::span<const Hertz> frequencies,
           std::span<const EntryTable* const> entry, std::span<const TileReceivers* const> tiles,
           SmallScratch& scratch, Crew* crew, const std::function<void()>& besides) {
    SightScan& scan = scratch.scan;
    ScanSpec spec;
    spec.at = antenna.at;
    spec.antennaAmsl = antenna.amsl;
    spec.radiusCells = static_cast<int>(antenna.reachM / surface.cellM());
    spec.ownPrism = antenna.ownPrism;
    spec.earthBulge = false;
    forEach(crew, besides ? 2 : 1, [&](std::size_t k) {
        if (k > 0) {
            besides();
            return;
        }
        scanSight(surface, spec, scan);
        streetReceivers(surface, scan, scratch.street);
        scratch.bend.follow(scan, scratch.street, kSmallSideM);
    });

    std::vector<std::shared_ptr<const SmallPath>> out;
    for (std::size_t f = 0; f < frequencies.size(); ++f) {
        auto p = std::make_shared<SmallPath>();
        p->centre = scan.centre;
        p->antennaAmsl = antenna.amsl;
        p->pixelX = static_cast<int>(std::floor(scan.centre.x / kPixelM));
        p->pixelY = static_cast<int>(std::floor(scan.centre.y / kPixelM));
        p->radius = std::min(kSmallReach, static_cast<int>(antenna.reachM / kPixelM));
        p->side = 2 * p->radius + 1;
        p->parity = (scan.centre.x - p->pixelX * kPixelM > kPixelM / 2 ? 1 : 0) +
                    (scan.centre.y - p->pixelY * kPixelM > kPixelM / 2 ? 2 : 0);
        const auto cells = static_cast<std::size_t>(p->side) * static_cast<std::size_t>(p->side);
        p->loss.assign(cells, kNoPath);
        p->elevation.assign(cells, 0);
        p->clear.assign(cells, 0);
        const StoreyModels models(frequencies[f], antenna.model);
        fineLoss(scan, models.street(), scratch, crew);
        const int per = std::max(1, static_cast<int>(std::lround(kPixelM / scan.cellM)));
        const FineFrame frame{per, per > 1 ? -(p->parity & 1) : 0, per > 1 ? -(p->parity >> 1) : 0};
        std::vector<SmallPath::TileIndoor> indoor(tiles.size());
        forEach(crew, tiles.size(), [&](std::size_t k) {
            indoor[k] = indoorOf(scan, scratch.bend, models, *entry[f], *tiles[k], antenna.reachM);
        });
        inBands(crew, p->pixelY - p->radius, p->pixelY + p->radius + 1, [&](int from, int to) {
            for (const TileReceivers* tile : tiles)
                fillPixels(*p, scan, scratch.fine, frame, *tile, from, to);
        });
        for (SmallPath::TileIndoor& t : indoor)
            if (!t.list.empty()) p->indoor.push_back(std::move(t));
        out.push_back(std::move(p));
    }
    return out;
}

} // namespace fw
