// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/random.h"
#include "bench/city.h"
#include "catch.h"
#include "surface/skyline.h"

#include <cmath>

using namespace fw;

namespace {

struct Seen {
    double elevationDeg = -90, solidM = 1e9;
};

/// One bearing from first principles: every solid's exact spans along the ray, every crown's chord by the
/// quadratic formula, and the library's sine and arc tangent.
Seen lookAlong(const Surface& s, const SkylineSpec& spec, int k) {
    Seen out;
    const double a = k * M_PI / 360;
    const PlanePoint u{std::sin(a), std::cos(a)};
    double steepest = -1e9;
    const auto top = [&](double d, double z) {
        steepest = std::max(steepest, (z - spec.antennaAmsl) / std::max(d, 0.1));
    };
    for (std::size_t i = 0; i < s.prisms().size(); ++i) {
        const bool own = static_cast<int>(i) == spec.ownPrism;
        if (own && !spec.ownCounts) continue;
        const double z = s.roofAmsl()[i] + (own ? s.prisms()[i].parapetM : 0);
        for (const Span c : crossings(s.prisms()[i].footprint, spec.at, spec.at + u * spec.reachM)) {
            const bool onRoof = own && c.from == 0 && spec.antennaAmsl >= s.roofAmsl()[i];
            const double meets = (onRoof ? c.to : c.from) * spec.reachM;
            top(meets, z);
            top(c.to * spec.reachM, z);
            if (z >= spec.antennaAmsl) out.solidM = std::min(out.solidM, meets);
        }
    }
    for (const Crown& c : s.crowns()) {
        const PlanePoint o = spec.at - c.at;
        const double b = dot(o, u), disc = b * b - dot(o, o) + c.radiusM * c.radiusM;
        if (disc < 0) continue;
        const double from = std::max(0.0, -b - std::sqrt(disc)),
                     to = std::min(-b + std::sqrt(disc), spec.reachM);
        if (to < from) continue;
        const double ground = s.groundAt(c.at);
        top(from, ground + c.topM);
        top(to, ground + c.topM);
        if (ground + c.bottomM <= spec.antennaAmsl && spec.antennaAmsl <= ground + c.topM)
            out.solidM = std::min(out.solidM, from);
    }
    for (double d = s.cellM(); d <= spec.reachM; d += s.cellM()) {
        const PlanePoint p = spec.at + u * d;
        const SurfaceTile* t = s.tile(tileOf(p));
        const double z = t->groundAt(t->top.index(t->top.colOf(p.x), t->top.rowOf(p.y)));
        top(d, z);
        if (z >= spec.antennaAmsl) out.solidM = std::min(out.solidM, d);
    }
    out.elevationDeg = std::atan(steepest) * 180 / M_PI;
    return out;
}

} // namespace

TEST_CASE("the skyline agrees with a ray-by-ray twin", "[skyline]") {
    const bench::City city = bench::makeCity({1000, 700, true, 4});
    const Surface s = SurfaceBuilder::build(city.area, 2, city.terrain, city.prisms, city.crowns);
    Random r(12);
    int differ = 0, solids = 0, all = 0;
    for (const bench::Disc& d : bench::streetDiscs(city, 8, 220, 2)) {
        SkylineSpec spec;
        spec.at = {d.at.x + r.between(-.9, .9), d.at.y + r.between(-.9, .9)};
        spec.antennaAmsl = s.groundAt(d.at) + d.mastM + (all % 3 == 0 ? 20 : 0);
        spec.reachM = 200;
        spec.ownPrism = s.prismAt(spec.at + PlanePoint{6, 3}); // a neighbour carries it, where there is one
        spec.ownCounts = r.chance(.5);
        const Skyline line = skylineAt(s, spec);
        for (int k = 0; k < Skyline::kBearings; ++k, ++all) {
            const Seen want = lookAlong(s, spec, k);
            const auto& got = line.bearing[static_cast<std::size_t>(k)];
            // Floats: 1e-5 deg. A ray within rounding of a corner or of a cell's side may fall either way.
            const bool same = std::fabs(got.elevationDeg - want.elevationDeg) < 2e-5 &&
                              std::fabs(got.solidM - want.solidM) <= 1e-6 * want.solidM + 1e-6;
            differ += !same;
            solids += got.solidM < 1e8f;
        }
    }
    INFO(differ << " of " << all);
    CHECK(differ <= all / 1000);
    CHECK(solids > all / 10);
}

TEST_CASE("a wall to the east is seen at its height over its distance", "[skyline]") {
    const auto flat = std::make_shared<Terrain>();
    const Prism wall{ItemId{7}, {{{520, 450}, {530, 450}, {530, 550}, {520, 550}}, {}}, 16, 1};
    const Surface s =
        SurfaceBuilder::build({0, 0, 1000, 1000}, 2, flat, {wall}, {{ItemId{8}, {500, 520}, 2, 8, 3}});
    SkylineSpec spec;
    spec.at = {500, 500};
    spec.antennaAmsl = 6;
    spec.reachM = 300;
    const Skyline line = skylineAt(s, spec);
    // atan(10 / 20) = 26.565 deg (any table of tangents)
    CHECK(line.at(90).elevationDeg == Approx(26.56505).epsilon(1e-6));
    CHECK(line.at(90).distanceM == Approx(20));
    CHECK(line.at(90).cause == ItemId{7});
    CHECK(line.at(90).solidM == Approx(20));
    CHECK(line.at(60).distanceM == Approx(20 / std::sin(M_PI / 3)));
    // The tree to the north: near side at 18 m, top 2 m above the antenna, crown down to 3 m.
    CHECK(line.at(0).elevationDeg == Approx(std::atan2(2, 18) * 180 / M_PI));
    CHECK(line.at(360).solid == ItemId{8});
    CHECK(line.at(0.2).solidM == Approx(18));
    // To the south only ground, best seen at the far end of reach.
    CHECK(line.at(180).cause == ItemId{});
    CHECK(line.at(180).distanceM == 300);
    CHECK(line.at(180).elevationDeg == Approx(-std::atan2(6, 300) * 180 / M_PI));
    CHECK(line.at(180).solidM == 1e9f);
    // Carried by that building, it looks away from its wall; counted, roof and parapet stand before it.
    spec.ownPrism = 0;
    CHECK(skylineAt(s, spec).at(90).elevationDeg < 0);
    spec.ownCounts = true;
    CHECK(skylineAt(s, spec).at(90).elevationDeg == Approx(std::atan2(11, 20) * 180 / M_PI));
    // On the roof: the lip 5 m to the west with its parapet at 17 m, above an antenna at 16.5 m.
    spec.at = {525, 500};
    spec.antennaAmsl = 16.5;
    CHECK(skylineAt(s, spec).at(270).elevationDeg == Approx(std::atan2(0.5, 5) * 180 / M_PI));
}
