// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/city.h"

#include "base/log_exp.h"
#include "base/random.h"

#include <algorithm>
#include <cmath>

namespace fw::bench {
namespace {

constexpr double kDistrictM = 1000, kStreetM = 14, kBlockLongM = 104, kBlockDeepM = 60;

/// A right-angled system turned about a district's middle.
struct Turned {
    PlanePoint middle;
    SinCos turn;
    [[nodiscard]] PlanePoint at(double u, double v) const {
        return {middle.x + u * turn.cos - v * turn.sin, middle.y + u * turn.sin + v * turn.cos};
    }
    [[nodiscard]] Ring ring(std::initializer_list<PlanePoint> corners) const {
        Ring out;
        for (const PlanePoint c : corners) out.push_back(at(c.x, c.y));
        return out;
    }
};

std::shared_ptr<const Terrain> makeGround(const Box& area, bool hills, Random& r) {
    auto t = std::make_shared<Terrain>();
    t->flatM = 20;
    if (!hills) return t;
    const double cell = 25;
    const int n = static_cast<int>(area.width() / cell) + 8;
    t->heights = Grid<float>(area.x0 - 4 * cell, area.y0 - 4 * cell, cell, n, n, 20.0f);
    const int count = std::max(3, static_cast<int>(area.width() * area.height() / 2e6));
    for (int k = 0; k < count; ++k) {
        const PlanePoint c{r.between(area.x0, area.x1), r.between(area.y0, area.y1)};
        const double radius = r.between(500, 1500), height = r.between(10, 60);
        for (int row = 0; row < n; ++row)
            for (int col = 0; col < n; ++col) {
                const PlanePoint d = t->heights.centre(col, row) - c;
                const double q = 1 - dot(d, d) / (radius * radius);
                if (q > 0) t->heights.at(col, row) += static_cast<float>(height * q * q);
            }
    }
    return t;
}

/// A building on the lot [u0, u1] x [v0, v1]: plain, with a wing missing, or round a courtyard.
Polygon house(const Turned& t, double u0, double v0, double u1, double v1, Random& r) {
    const double um = u0 + (u1 - u0) * r.between(.4, .6), vm = v0 + (v1 - v0) * r.between(.4, .6);
    const double kind = r.unit();
    if (kind < 0.30) return {t.ring({{u0, v0}, {u1, v0}, {u1, v1}, {u0, v1}}), {}};
    if (kind < 0.70) return {t.ring({{u0, v0}, {u1, v0}, {u1, vm}, {um, vm}, {um, v1}, {u0, v1}}), {}};
    const double ua = u0 + (u1 - u0) * .3, ub = u0 + (u1 - u0) * .7;
    const double va = v0 + (v1 - v0) * .3, vb = v0 + (v1 - v0) * .7;
    return {t.ring({{u0, v0}, {u1, v0}, {u1, v1}, {u0, v1}}),
            {t.ring({{ua, va}, {ua, vb}, {ub, vb}, {ub, va}})}};
}

/// Two rows of houses back to back on one block, set back a little here and there.
void fillBlock(const Turned& t, double u, double v, City& city, Random& r) {
    for (int side = 0; side < 2; ++side) {
        const double half = (kBlockDeepM - kStreetM) / 2, v0 = v + side * half, v1 = v0 + half;
        double at = u;
        const double end = u + kBlockLongM - kStreetM;
        while (at < end - 14) {
            const double width = std::min(r.between(16, 44), end - at);
            const double front = r.chance(.3) ? r.between(1, 4) : 0, back = r.between(1, 5);
            const double a = side ? v0 + back : v0 + front, b = side ? v1 - front : v1 - back;
            const double storeys = r.chance(.04) ? 9.0 + r.below(2) : 2.0 + r.below(5);
            city.prisms.push_back({ItemId{}, house(t, at, a, at + width, b, r), 3.0 * storeys, 1.0});
            at += width + (r.chance(.5) ? 0.0 : r.between(2, 8));
        }
    }
    // Poles and trees stand 1.5 and 2.5 m off the house fronts of the street to the south and west.
    for (int k = 0; k < 3; ++k) city.kerbs.push_back(t.at(u + r.between(0, kBlockLongM), v - 1.5));
    city.kerbs.push_back(t.at(u - 1.5, v + r.between(0, kBlockDeepM)));
    if (r.chance(.5))
        city.crowns.push_back(
            {ItemId{}, t.at(u + r.between(5, 80), v - 2.5), r.between(1.5, 3), r.between(6, 12), 2.5});
}

void fillDistrict(const Box& district, City& city, Random& r) {
    const Turned t{district.centre(), sinCosDegFixed(r.between(0, 90))};
    const double half = kDistrictM * 0.75;
    const Box inner = district.grown(-kStreetM / 2);
    for (double v = -half; v < half; v += kBlockDeepM)
        for (double u = -half; u < half; u += kBlockLongM) {
            bool inside = true;
            for (const double cu : {-3.0, kBlockLongM - kStreetM})
                for (const double cv : {-3.0, kBlockDeepM - kStreetM})
                    inside = inside && inner.contains(t.at(u + cu, v + cv));
            if (inside) fillBlock(t, u, v, city, r);
        }
}

} // namespace

City makeCity(const CitySpec& spec) {
    Random r(spec.seed);
    City city;
    const double x0 = 1000 * kTileM, y0 = 10000 * kTileM;
    city.area = {x0, y0, x0 + spec.sideM, y0 + spec.sideM};
    city.terrain = makeGround(city.area, spec.hills, r);
    for (double y = y0; y + kDistrictM <= city.area.y1 + 1; y += kDistrictM)
        for (double x = x0; x + kDistrictM <= city.area.x1 + 1; x += kDistrictM)
            fillDistrict({x, y, x + kDistrictM, y + kDistrictM}, city, r);
    // Thin out at random to the number asked for; the order, south to north, stays.
    std::vector<Prism> kept;
    auto left = static_cast<std::uint32_t>(spec.buildings);
    auto open = static_cast<std::uint32_t>(city.prisms.size());
    for (Prism& p : city.prisms) {
        if (r.below(open--) >= left) continue;
        --left;
        p.id = ItemId{static_cast<std::uint32_t>(kept.size() + 1)};
        kept.push_back(std::move(p));
    }
    city.prisms = std::move(kept);
    for (std::size_t k = 0; k < city.crowns.size(); ++k)
        city.crowns[k].id = ItemId{static_cast<std::uint32_t>(1000000 + k)};
    return city;
}

std::vector<Disc> streetDiscs(const City& city, int count, double radiusM, double cellM) {
    Random r(99);
    std::vector<Box> boxes;
    for (const Prism& p : city.prisms) boxes.push_back(boundsOf(p.footprint));
    const BoxIndex index(boxes);
    const Box inner = city.area.grown(-radiusM - 2 * cellM);
    std::vector<Disc> out;
    std::vector<std::uint32_t> near;
    for (int tries = 0; tries < 1000 * count && static_cast<int>(out.size()) < count; ++tries) {
        const PlanePoint k = city.kerbs[r.below(static_cast<std::uint32_t>(city.kerbs.size()))];
        const PlanePoint p{(std::floor(k.x / cellM) + .5) * cellM, (std::floor(k.y / cellM) + .5) * cellM};
        if (!inner.contains(p)) continue;
        index.query({p.x, p.y, p.x, p.y}, near);
        if (std::none_of(near.begin(), near.end(),
                         [&](std::uint32_t i) { return contains(city.prisms[i].footprint, p); }))
            out.push_back({p, r.between(6, 9)});
    }
    return out;
}

} // namespace fw::bench
