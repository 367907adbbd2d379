// SPDX-License-Identifier: GPL-3.0-or-later
#include "surface/skyline.h"

#include "base/log_exp.h"

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

constexpr int kBearings = Skyline::kBearings;
constexpr double kNothing = -1e9; ///< below every real slope

struct Directions {
    std::array<PlanePoint, kBearings> unit; ///< east and north parts
    Directions() {
        for (int k = 0; k < kBearings; ++k) {
            const SinCos a = sinCosDegFixed(k * 0.5);
            unit[static_cast<std::size_t>(k)] = {a.sin, a.cos};
        }
    }
};

const Directions& directions() {
    static const Directions d;
    return d;
}

/// Bearing of an offset in entries: 0 north, 180 east; (-360, 360].
double bearingOf(PlanePoint offset) { return 2 * atan2DegFixed(offset.x, offset.y); }

/// Collects what each bearing meets: the steepest top, and the first solid at antenna height.
class Horizon {
public:
    explicit Horizon(double antennaAmsl) : m_antenna(antennaAmsl) { m_slope.fill(kNothing); }

    [[nodiscard]] double slope(std::size_t k) const { return m_slope[k]; }
    /// Something of height `top` stands at distance d.
    void top(std::size_t k, double d, double topAmsl, ItemId cause) {
        // At the antenna's own place a thing has no direction; a hand's breadth keeps it finite.
        d = std::max(d, 0.1);
        const double s = (topAmsl - m_antenna) / d;
        if (s <= m_slope[k]) return;
        m_slope[k] = s;
        m_line.bearing[k].distanceM = static_cast<float>(d);
        m_line.bearing[k].cause = cause;
    }
    /// The horizontal ray enters something at distance d.
    void solid(std::size_t k, double d, ItemId what) {
        if (static_cast<float>(d) >= m_line.bearing[k].solidM) return;
        m_line.bearing[k].solidM = static_cast<float>(d);
        m_line.bearing[k].solid = what;
    }
    Skyline done() {
        for (std::size_t k = 0; k < kBearings; ++k)
            if (m_slope[k] > kNothing)
                m_line.bearing[k].elevationDeg = static_cast<float>(atan2DegFixed(m_slope[k], 1));
        return m_line;
    }

private:
    double m_antenna;
    std::array<double, kBearings> m_slope{};
    Skyline m_line;
};

/// What makes a prism in this view.
struct Wall {
    double topAmsl;
    bool atAntennaHeight; ///< the horizontal ray cannot pass over it
    bool underfoot;       ///< the antenna stands on its roof: only the rim counts, where it is left
    ItemId id;
};

/// Edge by edge: each meets only the bearings in its own span. Valid where the whole footprint lies within
/// reach and does not cover the antenna, so that every crossing counts and entry comes before exit.
void addRing(Horizon& h, const Ring& ring, PlanePoint from, const Wall& wall, std::vector<double>& bearings) {
    bearings.clear();
    for (const PlanePoint c : ring) bearings.push_back(bearingOf(c - from));
    for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
        double low = bearings[j], high = bearings[i];
        if (low > high) std::swap(low, high);
        if (high - low > kBearings / 2.0) { // the short way round leads over south
            const double turned = low + kBearings;
            low = high;
            high = turned;
        }
        const PlanePoint a = ring[j] - from, edge = ring[i] - ring[j];
        const double area = cross(a, edge);
        for (int k = static_cast<int>(std::ceil(low)); k <= high; ++k) {
            const auto slot = static_cast<std::size_t>((k + 2 * kBearings) % kBearings);
            const double across = cross(directions().unit[slot], edge);
            if (across == 0) continue; // seen end on: the neighbouring edges meet this bearing
            const double d = area / across;
            if (d < 0) continue;
            h.top(slot, d, wall.topAmsl, wall.id);
            if (wall.atAntennaHeight) h.solid(slot, d, wall.id);
        }
    }
}

/// Bearing by bearing with exact spans: for footprints that reach past the rim, or cover the antenna.
void addClipped(Horizon& h, const Polygon& footprint, const Box& box, PlanePoint from, double reachM,
                const Wall& wall) {
    int first = 0, last = kBearings - 1;
    if (!box.grown(1e-6).contains(from)) {
        // A box seen from outside spans less than half a turn round the bearing of its middle.
        const double middle = bearingOf(box.centre() - from);
        double low = 0, high = 0;
        for (const PlanePoint c :
             {PlanePoint{box.x0, box.y0}, {box.x1, box.y0}, {box.x1, box.y1}, {box.x0, box.y1}}) {
            double side = bearingOf(c - from) - middle;
            if (side > kBearings / 2.0) side -= kBearings;
            if (side < -kBearings / 2.0) side += kBearings;
            low = std::min(low, side);
            high = std::max(high, side);
        }
        first = static_cast<int>(std::floor(middle + low));
        last = static_cast<int>(std::ceil(middle + high));
    }
    for (int k = first; k <= last; ++k) {
        const auto slot = static_cast<std::size_t>((k + 2 * kBearings) % kBearings);
        for (const Span s : crossings(footprint, from, from + directions().unit[slot] * reachM)) {
            const double meets = (wall.underfoot && s.from == 0 ? s.to : s.from) * reachM;
            h.top(slot, meets, wall.topAmsl, wall.id);
            h.top(slot, s.to * reachM, wall.topAmsl, wall.id);
            if (wall.atAntennaHeight) h.solid(slot, meets, wall.id);
        }
    }
}

double farthestCorner(const Box& b, PlanePoint from) {
    return length({std::max(from.x - b.x0, b.x1 - from.x), std::max(from.y - b.y0, b.y1 - from.y)});
}
double nearestPlace(const Box& b, PlanePoint from) {
    return length(
        {std::max({b.x0 - from.x, from.x - b.x1, 0.0}), std::max({b.y0 - from.y, from.y - b.y1, 0.0})});
}

void addPrisms(Horizon& h, const Surface& surface, const SkylineSpec& spec) {
    std::vector<std::uint32_t> near;
    std::vector<double> bearings;
    const PlanePoint p = spec.at;
    surface.prismIndex().query(Box{p.x, p.y, p.x, p.y}.grown(spec.reachM), near);
    for (const std::uint32_t i : near) {
        const bool own = static_cast<int>(i) == spec.ownPrism;
        if (own && !spec.ownCounts) continue;
        const Prism& prism = surface.prisms()[i];
        const Box box = boundsOf(prism.footprint);
        if (nearestPlace(box, p) > spec.reachM) continue;
        const double top = surface.roofAmsl()[i] + (own ? prism.parapetM : 0);
        const Wall wall{top, top >= spec.antennaAmsl, own && spec.antennaAmsl >= surface.roofAmsl()[i],
                        prism.id};
        if (farthestCorner(box, p) > spec.reachM || box.grown(1e-6).contains(p)) {
            addClipped(h, prism.footprint, box, p, spec.reachM, wall);
            continue;
        }
        addRing(h, prism.footprint.outer, p, wall, bearings);
        for (const Ring& hole : prism.footprint.holes) addRing(h, hole, p, wall, bearings);
    }
}

void addCrown(Horizon& h, const Crown& crown, double groundAmsl, const SkylineSpec& spec) {
    const PlanePoint c = crown.at - spec.at;
    const double dist = length(c), top = groundAmsl + crown.topM, bottom = groundAmsl + crown.bottomM;
    const bool level = bottom <= spec.antennaAmsl && spec.antennaAmsl <= top;
    int first = 0, last = kBearings - 1;
    if (dist > crown.radiusM) {
        const double half =
            2 * atan2DegFixed(crown.radiusM, std::sqrt(dist * dist - crown.radiusM * crown.radiusM));
        first = static_cast<int>(std::floor(bearingOf(c) - half));
        last = static_cast<int>(std::ceil(bearingOf(c) + half));
    }
    for (int k = first; k <= last; ++k) {
        const auto slot = static_cast<std::size_t>((k + 2 * kBearings) % kBearings);
        const PlanePoint u = directions().unit[slot];
        const double along = dot(u, c), side = cross(u, c),
                     inside = crown.radiusM * crown.radiusM - side * side;
        if (inside < 0) continue;
        const double half = std::sqrt(inside), enter = std::max(along - half, 0.0), leave = along + half;
        if (leave < 0 || enter > spec.reachM) continue;
        h.top(slot, enter, top, crown.id);
        h.top(slot, std::min(leave, spec.reachM), top, crown.id);
        if (level) h.solid(slot, enter, crown.id);
    }
}

/// A window of ground with the highest cell of every block of 8 x 8 and the blocks round it.
struct GroundWindow {
    static constexpr int kBlock = 8;
    std::vector<float> rows, blockMost, most;
    int stride = 0, blocks = 0;

    void open(const Surface& surface, PlanePoint at, int radius) {
        surface.groundWindow(at, radius, rows, stride);
        const int n = 2 * radius + 1;
        blocks = (n + kBlock - 1) / kBlock;
        blockMost.assign(static_cast<std::size_t>(blocks * blocks), -1e9f);
        std::vector<float> columns;
        for (int br = 0; br < blocks; ++br) {
            const float* row = rows.data() + static_cast<std::ptrdiff_t>(br) * kBlock * stride;
            columns.assign(row, row + n);
            for (int r = br * kBlock + 1; r < std::min(n, (br + 1) * kBlock); ++r) {
                row += stride;
                for (int c = 0; c < n; ++c)
                    columns[static_cast<std::size_t>(c)] =
                        std::max(columns[static_cast<std::size_t>(c)], row[c]);
            }
            for (int c = 0; c < n; ++c) {
                float& b = blockMost[static_cast<std::size_t>(br * blocks + c / kBlock)];
                b = std::max(b, columns[static_cast<std::size_t>(c)]);
            }
        }
        most = blockMost;
        for (int r = 0; r < blocks; ++r)
            for (int c = 0; c < blocks; ++c) {
                float& m = most[static_cast<std::size_t>(r * blocks + c)];
                for (int rr = std::max(0, r - 1); rr <= std::min(blocks - 1, r + 1); ++rr)
                    for (int cc = std::max(0, c - 1); cc <= std::min(blocks - 1, c + 1); ++cc)
                        m = std::max(m, blockMost[static_cast<std::size_t>(rr * blocks + cc)]);
            }
    }
};

/// Ground at every cell's length along each bearing. Eight samples at a time are passed over when the highest
/// ground round them neither beats what already stands there nor reaches the antenna's height; that changes
/// nothing in the result.
void addGround(Horizon& h, const Surface& surface, const SkylineSpec& spec) {
    thread_local GroundWindow ground;
    const double cell = surface.cellM(), antenna = spec.antennaAmsl;
    const int steps = static_cast<int>(std::floor(spec.reachM / cell));
    const int radius = steps + 2;
    ground.open(surface, spec.at, radius);
    // Window coordinates of the antenna in cells; positive throughout, so that truncation is floor.
    const PlanePoint from{spec.at.x / cell - std::floor(spec.at.x / cell) + radius,
                          spec.at.y / cell - std::floor(spec.at.y / cell) + radius};
    constexpr int kBlock = GroundWindow::kBlock;
    for (std::size_t k = 0; k < kBearings; ++k) {
        const PlanePoint u = directions().unit[k];
        double steepest = h.slope(k), where = 0, top = 0;
        for (int first = 1; first <= steps; first += kBlock) {
            const int last = std::min(first + kBlock - 1, steps);
            const int bc = static_cast<int>(from.x + first * u.x) / kBlock;
            const int br = static_cast<int>(from.y + first * u.y) / kBlock;
            const double rise =
                double{ground.most[static_cast<std::size_t>(br * ground.blocks + bc)]} - antenna;
            if (rise < 0 && rise <= steepest * cell * (steepest < 0 ? last : first)) continue;
            for (int i = first; i <= last; ++i) {
                const int c = static_cast<int>(from.x + i * u.x), r = static_cast<int>(from.y + i * u.y);
                const double z = ground.rows[static_cast<std::size_t>(r * ground.stride + c)];
                const double d = i * cell;
                if (z - antenna > steepest * d) {
                    steepest = (z - antenna) / d;
                    where = d;
                    top = z;
                }
                if (z >= antenna) h.solid(k, d, ItemId{});
            }
        }
        if (where > 0) h.top(k, where, top, ItemId{});
    }
}

} // namespace

const Skyline::Bearing& Skyline::at(double gridAzimuthDeg) const {
    const auto k = static_cast<std::size_t>(std::floor(wrap360(gridAzimuthDeg) * 2 + 0.5));
    return bearing[k % kBearings];
}

Skyline skylineAt(const Surface& surface, const SkylineSpec& spec) {
    Horizon h(spec.antennaAmsl);
    addPrisms(h, surface, spec);
    std::vector<std::uint32_t> near;
    surface.crownIndex().query(Box{spec.at.x, spec.at.y, spec.at.x, spec.at.y}.grown(spec.reachM), near);
    for (const std::uint32_t i : near) {
        const Crown& crown = surface.crowns()[i];
        addCrown(h, crown, surface.groundAt(crown.at), spec);
    }
    addGround(h, surface, spec);
    return h.done();
}

} // namespace fw
