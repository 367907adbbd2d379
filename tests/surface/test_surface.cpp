// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/random.h"
#include "catch.h"
#include "surface/surface.h"

#include <algorithm>
#include <cmath>
#include <cstring>

using namespace fw;

namespace {

std::shared_ptr<const Terrain> slope(double perMetre) {
    auto t = std::make_shared<Terrain>();
    t->heights = Grid<float>(-100, -100, 50, 40, 40);
    for (int r = 0; r < 40; ++r)
        for (int c = 0; c < 40; ++c)
            t->heights.at(c, r) = static_cast<float>(perMetre * (-100 + (c + 0.5) * 50));
    return t;
}

std::shared_ptr<const Terrain> roughGround(Random& r) {
    auto t = std::make_shared<Terrain>();
    t->heights = Grid<float>(-200, -200, 25, 64, 64);
    for (float& h : t->heights.cells) h = static_cast<float>(r.between(0, 12));
    return t;
}

Polygon box(double x0, double y0, double x1, double y1) {
    return {{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, {}};
}

/// A turned rectangle, now and then with a courtyard.
Polygon randomFootprint(Random& r, double extent) {
    const double x = r.between(0, extent), y = r.between(0, extent), a = r.between(6, 30),
                 b = r.between(6, 20);
    const double ux = r.between(-1, 1), uy = std::sqrt(1 - ux * ux);
    const auto at = [&](double s, double t) { return PlanePoint{x + s * ux - t * uy, y + s * uy + t * ux}; };
    Polygon p{{at(0, 0), at(a, 0), at(a, b), at(0, b)}, {}};
    if (r.chance(0.3))
        p.holes.push_back({at(a * .3, b * .3), at(a * .3, b * .7), at(a * .7, b * .7), at(a * .7, b * .3)});
    return p;
}

std::vector<Prism> randomPrisms(Random& r, std::uint32_t n, double extent) {
    std::vector<Prism> out;
    for (std::uint32_t k = 0; k < n; ++k)
        out.push_back({ItemId{k + 1}, randomFootprint(r, extent), r.between(3, 30), 1.0});
    return out;
}

bool sameBytes(const Surface& a, const Surface& b) {
    if (a.tiles().size() != b.tiles().size() || a.roofAmsl() != b.roofAmsl()) return false;
    for (std::size_t k = 0; k < a.tiles().size(); ++k) {
        const SurfaceTile &s = *a.tiles()[k], &t = *b.tiles()[k];
        const auto same = [](const Grid<float>& g, const Grid<float>& h) {
            return g.cells.size() == h.cells.size() &&
                   std::memcmp(g.cells.data(), h.cells.data(), g.cells.size() * sizeof(float)) == 0;
        };
        const auto sameRoofed = [](const SurfaceTile::Roofed& x, const SurfaceTile::Roofed& y) {
            return x.ground == y.ground && x.prism == y.prism;
        };
        if (s.key != t.key || !same(s.top, t.top) || !same(s.coarse, t.coarse) || s.isRoofed != t.isRoofed ||
            s.before != t.before || s.digest != t.digest ||
            !std::equal(s.roofed.begin(), s.roofed.end(), t.roofed.begin(), t.roofed.end(), sameRoofed))
            return false;
    }
    return true;
}

Digest keyOf(const Surface& s, const Box& under) {
    Digester d;
    addSurfaceKey(d, s, under);
    return d.done();
}

} // namespace

TEST_CASE("terrain is bilinear between cell centres and level beyond the rim", "[surface]") {
    const auto t = slope(0.1);
    CHECK(t->at({0, 0}) == Approx(0).margin(1e-5)); // heights are floats of up to 190 m: 1e-5 m
    CHECK(t->at({333, 777}) == Approx(33.3).margin(1e-5));
    CHECK(t->at({-5000, 0}) == Approx(-7.5).margin(1e-5)); // the westmost centre lies at -75
    CHECK(Terrain{{}, 12.5}.at({1, 2}) == 12.5);
}

TEST_CASE("a roof stands over the lowest ground under its footprint", "[surface]") {
    // West corner at x = 100 on a slope of 0.1: lowest ground 10 m, so the roof is at 18 m over its length.
    const Surface s = SurfaceBuilder::build({0, 0, 500, 500}, 2, slope(0.1),
                                            {{ItemId{1}, box(100, 100, 140, 120), 8, 1}}, {});
    CHECK(s.roofAmsl()[0] == Approx(18).margin(1e-5));
    CHECK(s.topAt({101, 110}) == Approx(18).margin(1e-5));
    CHECK(s.topAt({139, 110}) == Approx(18).margin(1e-5));
    CHECK(s.topAt({99, 111}) == Approx(9.9).margin(1e-5)); // the cell's centre is at x = 99
    CHECK(s.prismAt({120, 110}) == 0);
    CHECK(s.prismAt({99.9, 110}) == -1);
    // Outside all tiles: the terrain.
    CHECK(s.topAt({-50, 10}) == Approx(-5).margin(1e-5));
}

// The yardstick is the exact point-in-area test of geo, cell by cell.
TEST_CASE("footprints are burnt where they cover a cell's centre; the highest wins, then the first",
          "[surface]") {
    const std::uint64_t seed = 20260105;
    INFO("seed " << seed);
    Random r(seed);
    auto prisms = randomPrisms(r, 150, 600);
    for (std::size_t k = 0; k < prisms.size(); k += 3) prisms[k].heightM = 12; // equal heights do occur
    const auto flat = std::make_shared<Terrain>();
    const Surface s = SurfaceBuilder::build({0, 0, 600, 600}, 2, flat, prisms, {});
    int checked = 0, roofs = 0;
    for (const auto& tile : s.tiles())
        for (int row = 0; row < tile->top.height; ++row)
            for (int col = 0; col < tile->top.width; ++col) {
                const PlanePoint p = tile->top.centre(col, row);
                // A centre within a hair of a wall may fall on either side by rounding.
                int best = -1;
                bool onWall = false;
                std::vector<std::uint32_t> near;
                s.prismIndex().query({p.x, p.y, p.x, p.y}, near);
                for (const std::uint32_t i : near) {
                    onWall = onWall || nearestOnBoundary(prisms[i].footprint, p).distanceM < 1e-9;
                    if (!contains(prisms[i].footprint, p)) continue;
                    if (best < 0 || prisms[i].heightM > prisms[static_cast<std::size_t>(best)].heightM)
                        best = static_cast<int>(i);
                }
                if (onWall) continue;
                ++checked;
                roofs += best >= 0;
                const std::size_t k = tile->top.index(col, row);
                const SurfaceTile::Roofed* roof = tile->roofOver(k);
                REQUIRE((roof ? static_cast<int>(roof->prism) : -1) == best);
                REQUIRE(tile->groundAt(k) == 0.0f);
                REQUIRE(
                    tile->top.cells[k] ==
                    (best < 0 ? 0.0f : static_cast<float>(prisms[static_cast<std::size_t>(best)].heightM)));
                REQUIRE(s.prismAt(p) == best);
            }
    CHECK(checked > 200000);
    CHECK(roofs > 5000);
}

TEST_CASE("a window is the cells themselves, across tiles and beyond them", "[surface]") {
    Random r(5);
    const Surface s =
        SurfaceBuilder::build({0, 0, 1000, 1000}, 2, roughGround(r), randomPrisms(r, 300, 1000), {});
    std::vector<float> rows;
    int stride = 0;
    for (const PlanePoint at : {PlanePoint{511, 513}, PlanePoint{3, 1020}, PlanePoint{700.3, 300.9}}) {
        const int radius = 40;
        s.window(at, radius, 1, rows, stride);
        const double x = std::floor(at.x / 2) * 2 + 1, y = std::floor(at.y / 2) * 2 + 1;
        for (int dy = -radius; dy <= radius; ++dy)
            for (int dx = -radius; dx <= radius; ++dx)
                REQUIRE(rows[static_cast<std::size_t>((dy + radius) * stride + dx + radius)] ==
                        s.topAt({x + 2 * dx, y + 2 * dy}));
        s.groundWindow(at, radius, rows, stride);
        for (int dy = -radius; dy <= radius; ++dy)
            for (int dx = -radius; dx <= radius; ++dx)
                REQUIRE(rows[static_cast<std::size_t>((dy + radius) * stride + dx + radius)] ==
                        static_cast<float>(s.groundAt({x + 2 * dx, y + 2 * dy})));
        s.window(at, radius, 2, rows, stride);
        const double x4 = std::floor(at.x / 4) * 4, y4 = std::floor(at.y / 4) * 4;
        for (int dy = -radius; dy <= radius; ++dy)
            for (int dx = -radius; dx <= radius; ++dx) {
                const double cx = x4 + 4 * dx, cy = y4 + 4 * dy;
                const float most = std::max({s.topAt({cx + 1, cy + 1}), s.topAt({cx + 3, cy + 1}),
                                             s.topAt({cx + 1, cy + 3}), s.topAt({cx + 3, cy + 3})});
                REQUIRE(rows[static_cast<std::size_t>((dy + radius) * stride + dx + radius)] == most);
            }
    }
}

TEST_CASE("a rebuild has the same bytes as a fresh build and shares what did not change", "[surface]") {
    const std::uint64_t seed = 77;
    INFO("seed " << seed);
    Random r(seed);
    const Box area{0, 0, 1400, 1400};
    const auto ground = roughGround(r);
    auto prisms = randomPrisms(r, 400, 1400);
    std::vector<Crown> crowns{{ItemId{9001}, {200, 200}, 4, 9, 3}};
    std::uint32_t nextId = 1000;
    Surface s = SurfaceBuilder::build(area, 2, ground, prisms, crowns, 1);
    bool shared = false;
    for (int round = 0; round < 25; ++round) {
        std::vector<Box> changed;
        const std::size_t k = r.below(static_cast<std::uint32_t>(prisms.size()));
        switch (r.below(4)) {
        case 0: // another height
            prisms[k].heightM += 2.5;
            changed.push_back(boundsOf(prisms[k].footprint));
            break;
        case 1: // gone: later ones move up
            changed.push_back(boundsOf(prisms[k].footprint));
            prisms.erase(prisms.begin() + static_cast<std::ptrdiff_t>(k));
            break;
        case 2: // a new one amid the others
            prisms.insert(prisms.begin() + static_cast<std::ptrdiff_t>(k),
                          Prism{ItemId{nextId++}, randomFootprint(r, 1400), 11, 1});
            changed.push_back(boundsOf(prisms[k].footprint));
            break;
        default: // moved, and a tree with it
            changed.push_back(boundsOf(prisms[k].footprint));
            prisms[k].footprint = randomFootprint(r, 1400);
            changed.push_back(boundsOf(prisms[k].footprint));
            changed.push_back(boundsOf(crowns[0]));
            crowns[0].at.x += 40;
            changed.push_back(boundsOf(crowns[0]));
        }
        const Surface next = SurfaceBuilder::rebuild(s, area, ground, prisms, crowns, changed, 2);
        const Surface fresh = SurfaceBuilder::build(area, 2, ground, prisms, crowns, 1);
        REQUIRE(sameBytes(next, fresh));
        for (std::size_t t = 0; t < next.tiles().size(); ++t)
            shared = shared || next.tiles()[t] == s.tiles()[t];
        s = next;
    }
    CHECK(shared);
}

TEST_CASE("the key of a place changes with what stands there, and with nothing else", "[surface]") {
    Random r(3);
    const Box area{0, 0, 1400, 1400}, here{600, 600, 900, 900}, far{1100, 1100, 1300, 1300};
    const auto ground = roughGround(r);
    auto prisms = randomPrisms(r, 100, 1400);
    const Surface a = SurfaceBuilder::build(area, 2, ground, prisms, {});
    prisms.insert(prisms.begin(), {ItemId{5000}, box(1200, 1200, 1210, 1210), 9, 1});
    const Surface b = SurfaceBuilder::build(area, 2, ground, prisms, {});
    CHECK(keyOf(a, here) == keyOf(b, here));
    CHECK(keyOf(a, far) != keyOf(b, far));
    const Surface c = SurfaceBuilder::build(area, 2, ground, prisms, {{ItemId{1}, {700, 700}, 3, 8, 2}});
    CHECK(keyOf(c, here) != keyOf(b, here));
    CHECK(keyOf(c, far) == keyOf(b, far));
}
