// SPDX-License-Identifier: GPL-3.0-or-later
#include "fringe/receivers.h"

#include "plan/class_weights.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace fw {
namespace {

constexpr double kStoreyM = 3.2, kPavementM = 2.5, kYardShare = 0.25;
constexpr double kWeightUnit = 256.0; // steps of a square metre

double distanceToSegment(PlanePoint p, PlanePoint a, PlanePoint b) {
    const PlanePoint ab = b - a, ap = p - a;
    const double len2 = dot(ab, ab);
    const double t = len2 > 0 ? std::clamp(dot(ap, ab) / len2, 0.0, 1.0) : 0.0;
    return planeDistance(p, a + ab * t);
}

bool inStreet(PlanePoint p, const DemandSources& s, const std::vector<std::uint32_t>& near) {
    return std::any_of(near.begin(), near.end(), [&](std::uint32_t k) {
        return distanceToSegment(p, s.segments[k].first, s.segments[k].second) <= s.reach[k];
    });
}

// Product of the factors of all areas that hold the point; `inside` tells whether any does.
double areaFactor(PlanePoint p, const DemandSources& s, const std::vector<std::size_t>& near, bool& inside) {
    double factor = 1;
    inside = false;
    for (const std::size_t k : near)
        if (s.areaBoxes[k].contains(p) && contains(s.areas[k]->area, p)) {
            factor *= s.areas[k]->demandFactor;
            inside = true;
        }
    return factor;
}

std::vector<std::size_t> areasMeeting(const DemandSources& s, const Box& box) {
    std::vector<std::size_t> out;
    for (std::size_t k = 0; k < s.areas.size(); ++k)
        if (s.areaBoxes[k].meets(box)) out.push_back(k);
    return out;
}

std::int32_t weightSteps(double m2) {
    const double w = std::floor(m2 * kWeightUnit + 0.5);
    return static_cast<std::int32_t>(std::min(w, 1e9));
}

template <class T>
const T* cellAt(const Grid<T>* g, PlanePoint p) {
    if (!g || g->empty()) return nullptr;
    const int col = g->colOf(p.x), row = g->rowOf(p.y);
    return g->inside(col, row) ? &g->at(col, row) : nullptr;
}

std::optional<double> classWeight(const DemandSources& s, PlanePoint p) {
    const std::int32_t* cls = cellAt(s.landCover.get(), p);
    if (!cls) return std::nullopt;
    const auto it = s.classWeights.find(*cls);
    return it == s.classWeights.end() ? std::nullopt : std::optional(it->second);
}

void fillPixels(TileReceivers& out, const Surface& surface, const DemandSources& s,
                const ModelSettings& settings) {
    const SurfaceTile* tile = surface.tile(out.key);
    out.openCells.assign(kTileArea, 0);
    out.weight.assign(kTileArea, 0);
    out.inArea.assign(kTileArea, 0);
    out.groundAmsl.assign(kTileArea, 0);
    if (!tile) return;
    const Box box = out.key.bounds();
    const auto areas = areasMeeting(s, box);
    const int perPixel = std::max(1, static_cast<int>(std::lround(kPixelM / surface.cellM())));
    std::vector<std::uint32_t> near;
    std::vector<std::uint8_t> street(kTileArea, 0);
    for (int by = 0; by < kTilePixels; by += 16) // streets by blocks of 64 m: a short list for each
        for (int bx = 0; bx < kTilePixels; bx += 16) {
            const Box block{box.x0 + bx * kPixelM, box.y0 + by * kPixelM, box.x0 + (bx + 16) * kPixelM,
                            box.y0 + (by + 16) * kPixelM};
            s.streets.query(block, near);
            for (int y = by; y < by + 16 && !near.empty(); ++y)
                for (int x = bx; x < bx + 16; ++x) {
                    const auto i = static_cast<std::size_t>(y * kTilePixels + x);
                    street[i] = inStreet(out.placeOf(i), s, near);
                }
        }
    for (std::size_t i = 0; i < kTileArea; ++i) {
        const int cx = static_cast<int>(i % kTilePixels) * perPixel,
                  cy = static_cast<int>(i / kTilePixels) * perPixel;
        int open = 0, water = 0, bits = 0;
        for (int k = 0; k < 4; ++k) {
            const int x = cx + (perPixel > 1 ? (k & 1) * (perPixel / 2) : 0);
            const int y = cy + (perPixel > 1 ? (k >> 1) * (perPixel / 2) : 0);
            const std::size_t cell = tile->top.index(x, y);
            if (tile->roofOver(cell)) continue;
            bits |= 1 << k;
            ++open;
            if (tile->top.cells[cell] <= 0) ++water;
        }
        out.openCells[i] = static_cast<std::uint8_t>(bits);
        out.groundAmsl[i] = static_cast<float>(surface.groundAt(out.placeOf(i)));
        bool inside = false;
        double factor = areas.empty() ? 1 : areaFactor(out.placeOf(i), s, areas, inside);
        if (s.demand) factor = 1; // see shareRaster
        out.inArea[i] = inside;
        const double perM2 = kPixelM * kPixelM / 4;
        double weighted = (open - water) * perM2 * (street[i] ? 1 : kYardShare);
        if (const auto byClass = classWeight(s, out.placeOf(i))) weighted = open * perM2 * *byClass;
        out.weight[i] = weightSteps(weighted * settings.outdoorDensity * factor);
    }
}

std::vector<PlanePoint> facadeSamples(const Polygon& p) {
    const Ring& r = p.outer;
    double perimeter = 0, best = -1, before = 0;
    for (std::size_t i = 0; i < r.size(); ++i) {
        const double len = planeDistance(r[i], r[(i + 1) % r.size()]);
        if (len > best + 1e-9) {
            best = len;
            before = perimeter;
        }
        perimeter += len;
    }
    std::vector<PlanePoint> out;
    const int n = perimeter < 24 ? 2 : 4;
    for (int k = 0; k < n; ++k) {
        double s = std::fmod(before + best / 2 + perimeter * k / n, perimeter);
        for (std::size_t i = 0; i < r.size(); ++i) {
            const PlanePoint a = r[i], b = r[(i + 1) % r.size()];
            const double len = planeDistance(a, b);
            if (s > len && i + 1 < r.size()) {
                s -= len;
                continue;
            }
            if (len <= 0) break;
            const PlanePoint dir =
                (b - a) * (1 / len); // outer rings run anticlockwise: outside is to the right
            out.push_back(a + dir * std::min(s, len) + PlanePoint{dir.y, -dir.x});
            break;
        }
    }
    return out;
}

void addBuilding(TileReceivers& out, const Building& b, const Surface& surface, const DemandSources& s,
                 const std::vector<std::size_t>& areas) {
    auto samples = facadeSamples(b.footprint);
    // A party wall has nobody outside it; a building with nothing else keeps its samples.
    std::vector<PlanePoint> free;
    for (const PlanePoint& p : samples)
        if (surface.prismAt(p) < 0) free.push_back(p);
    if (!free.empty()) samples = free;
    if (samples.empty()) return;
    const double footprint = areaOf(b.footprint);
    const int storeys = std::max(1, b.storeys), levels = std::min(storeys, 3);
    bool inside = false;
    double factor = areaFactor(centroidOf(b.footprint), s, areas, inside);
    if (s.demand) factor = 1; // see shareRaster
    const double share = footprint * storeys * factor / (static_cast<double>(samples.size()) * levels);
    for (const PlanePoint& at : samples)
        for (int k = 0; k < levels; ++k) {
            const int floor = levels == 1 ? 0 : k * (storeys - 1) / (levels - 1);
            IndoorReceiver r;
            r.at = at;
            r.groundAmsl = surface.groundAt(at);
            r.aboveGroundM = floor * kStoreyM + kStreetReceiverM;
            r.weight = weightSteps(share);
            r.building = b.id;
            r.entry = b.entry;
            r.inArea = inside;
            out.indoor.push_back(r);
        }
}

// Shares out what each cell of the demand raster holds among the weights inside it. Cells do not reach over
// the tile's rim; a building is where its centroid is. Congestion areas multiply what came out.
void shareRaster(TileReceivers& out, const DemandSources& s, const std::vector<std::size_t>& areas,
                 const std::vector<PlanePoint>& centroids) {
    const DemandGrid& g = *s.demand;
    struct Held {
        double indoor = 0, outdoor = 0;
        double& of(bool open) { return open ? outdoor : indoor; }
    };
    const int side = static_cast<int>(std::lround(kTileM / g.cellM));
    const auto placeIn = [&](PlanePoint p) {
        const Box box = out.key.bounds();
        const int col = std::clamp(static_cast<int>((p.x - box.x0) / g.cellM), 0, side - 1);
        const int row = std::clamp(static_cast<int>((p.y - box.y0) / g.cellM), 0, side - 1);
        return static_cast<std::size_t>(row * side + col);
    };
    const auto whereIs = [&](std::size_t i) {
        return i < kTileArea ? out.placeOf(i) : centroids[i - kTileArea];
    };
    std::vector<Held> held(static_cast<std::size_t>(side) * static_cast<std::size_t>(side));
    for (std::size_t i = 0; i < out.size(); ++i)
        held[placeIn(whereIs(i))].of(i < kTileArea) += out.weightOf(i);
    for (std::size_t i = 0; i < out.size(); ++i) {
        const bool open = i < kTileArea;
        const PlanePoint at = whereIs(i);
        Held& h = held[placeIn(at)];
        const float* density = cellAt(&g, at);
        std::int32_t& weight = open ? out.weight[i] : out.indoor[i - kTileArea].weight;
        if (weight <= 0 || !density || !(*density > 0)) {
            weight = 0;
            continue;
        }
        const double share = h.of(!open) > 0 ? (open ? 1 - s.indoorShare : s.indoorShare) : 1;
        bool inside = false;
        const double factor = out.inAreaOf(i) ? areaFactor(at, s, areas, inside) : 1;
        weight = weightSteps(*density * g.cellM * g.cellM * share * (weight / h.of(open)) * factor);
    }
}

} // namespace

DemandSources demandSources(const Plan& plan, const Terrain& terrain) {
    DemandSources s;
    s.plan = &plan;
    s.demand = terrain.demand;
    s.landCover = terrain.landCover;
    s.indoorShare = plan.settings->model.indoorShare;
    if (auto weights = classWeights(plan.settings->landCoverWeights)) s.classWeights = std::move(*weights);
    std::vector<Box> boxes;
    for (const Street& street : plan.streets)
        for (std::size_t i = 0; i + 1 < street.path.size(); ++i) {
            s.segments.emplace_back(street.path[i], street.path[i + 1]);
            s.reach.push_back(street.widthM / 2 + kPavementM);
            boxes.push_back(boundsOf(Line{street.path[i], street.path[i + 1]}).grown(s.reach.back()));
        }
    s.streets = BoxIndex(boxes);
    for (const CongestionArea& a : plan.congestionAreas) {
        s.areas.push_back(&a);
        s.areaBoxes.push_back(boundsOf(a.area));
    }
    return s;
}

namespace {

// What the rasters hold in a tile; nothing where there are none.
void addRasters(Digester& d, const DemandSources& s, TileKey key) {
    const auto add = [&](const auto& g) {
        const Box box = key.bounds();
        const int c0 = std::max(0, g.colOf(box.x0)), c1 = std::min(g.width - 1, g.colOf(box.x1));
        const int r0 = std::max(0, g.rowOf(box.y0)), r1 = std::min(g.height - 1, g.rowOf(box.y1));
        d.add(g.x0).add(g.y0).add(g.cellM).add(c0).add(c1).add(r0).add(r1);
        for (int r = r0; r <= r1; ++r)
            for (int c = c0; c <= c1; ++c) d.add(static_cast<double>(g.at(c, r)));
    };
    if (s.demand) {
        d.add(s.indoorShare);
        add(*s.demand);
    }
    if (!s.landCover || s.classWeights.empty()) return;
    add(*s.landCover);
    for (const auto& [cls, weight] : s.classWeights) d.add(cls).add(weight);
}

} // namespace

Digest receiversDigest(TileKey key, const Surface& surface, const DemandSources& s,
                       const std::vector<Building>& buildings, const ModelSettings& settings) {
    Digester d;
    d.add(key.x).add(key.y).add(surface.cellM()).add(settings.outdoorDensity);
    addRasters(d, s, key);
    const Box box = key.bounds();
    Box around = box; // samples lie outside facades, and buildings reach out of their tile
    for (const Building& b : buildings) around.add(boundsOf(b.footprint).grown(2));
    addSurfaceKey(d, surface, around);
    std::vector<std::uint32_t> near;
    s.streets.query(box, near);
    for (const std::uint32_t k : near)
        d.add(s.segments[k].first.x)
            .add(s.segments[k].first.y)
            .add(s.segments[k].second.x)
            .add(s.segments[k].second.y)
            .add(s.reach[k]);
    for (const std::size_t k : areasMeeting(s, box.grown(200))) { // a building may reach out of its tile
        d.add(s.areas[k]->demandFactor);
        for (const PlanePoint& p : s.areas[k]->area.outer) d.add(p.x).add(p.y);
        for (const Ring& hole : s.areas[k]->area.holes)
            for (const PlanePoint& p : hole) d.add(p.x).add(p.y);
    }
    for (const Building& b : buildings) {
        d.add(b.id.v).add(b.storeys).add(b.entry);
        for (const PlanePoint& p : b.footprint.outer) d.add(p.x).add(p.y);
        for (const Ring& hole : b.footprint.holes)
            for (const PlanePoint& p : hole) d.add(p.x).add(p.y);
    }
    return d.done();
}

std::shared_ptr<const TileReceivers> makeReceivers(TileKey key, const Surface& surface,
                                                   const DemandSources& s,
                                                   const std::vector<Building>& buildings,
                                                   const ModelSettings& settings) {
    auto out = std::make_shared<TileReceivers>();
    out->key = key;
    out->digest = receiversDigest(key, surface, s, buildings, settings);
    fillPixels(*out, surface, s, settings);
    const auto areas = areasMeeting(s, key.bounds().grown(200));
    std::vector<PlanePoint> centroids; // by indoor receiver
    for (const Building& b : buildings) {
        addBuilding(*out, b, surface, s, areas);
        centroids.resize(out->indoor.size(), centroidOf(b.footprint));
    }
    if (s.demand) shareRaster(*out, s, areas, centroids);
    return out;
}

} // namespace fw
