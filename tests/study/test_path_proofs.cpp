// SPDX-License-Identifier: GPL-3.0-or-later
// What a path owes to physics whatever the town: which ends may be exchanged, and what a walk out of sight
// does to the loss.
#include "base/random.h"
#include "catch.h"
#include "fringe/path_kernel.h"
#include "radio/knife_edge.h"
#include "radio/street_microcell.h"
#include "radio/urban_macro.h"
#include "study/hand_plan.h"
#include "surface/profile.h"
#include "surface/sight_scan.h"

#include <cmath>

using namespace fw;
using namespace fw::testing;

namespace {

constexpr Hertz kBand{1.8e9};

Surface townOf(std::vector<Prism> prisms) {
    return SurfaceBuilder::build({0, 0, 1000, 1000}, 2, std::make_shared<const Terrain>(), std::move(prisms),
                                 {}, 1);
}

Polygon square(double x0, double y0, double x1, double y1) {
    return {{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, {}};
}

struct End {
    PlanePoint at; // centre of a cell
    double amsl = 0;
};

// As small cells have it: one sweep from one end, the loss to the other.
double lossDb(const Surface& s, const LossModel& m, const End& from, const End& to) {
    SightScan scan;
    scanSight(s, {from.at, from.amsl, 150, 1, -1, false}, scan);
    const PlanePoint d = to.at - from.at;
    const std::size_t k =
        scan.index(static_cast<int>(std::lround(d.x / 2)), static_cast<int>(std::lround(d.y / 2)));
    PathGeometry g{static_cast<float>(std::hypot(d.x, d.y)), static_cast<float>(to.amsl - from.amsl)};
    g.bend = edgeBend(g.distanceM, g.riseM, scan.edgeSlope[k], scan.edgeDistM[k]);
    return lossCenti(m, g) / 100.0;
}

End endIn(Random& r, double y0, double y1) {
    const auto cell = [](double v) { return std::floor(v / 2) * 2 + 1; };
    return {{cell(r.between(440, 560)), cell(r.between(y0, y1))}, r.between(1.5, 12)};
}

// Rec. ITU-R P.1411-11, table 4, with and without sight.
double losDb(double d, double ghz) { return 21.2 * std::log10(d) + 29.2 + 21.1 * std::log10(ghz); }
double nlosDb(double d, double ghz) { return 40 * std::log10(d) + 10.2 + 23.6 * std::log10(ghz); }

} // namespace

TEST_CASE("A small cell's path over one screen loses the same whichever end sends") {
    Random r(526);
    const LossModel m = smallCellModel(kBand);
    int cut = 0;
    for (int k = 0; k < 60; ++k) {
        // A wall one cell thick across all paths, so that both ends march over the same edge.
        const Surface s = townOf({{ItemId{1}, square(300, 500, 700, 502), r.between(3, 14), 0}});
        for (int n = 0; n < 10; ++n) {
            const End a = endIn(r, 400, 480), b = endIn(r, 520, 600);
            // Beyond 45 deg the march runs along the wall, where cells are rounded one way only.
            if (std::fabs(a.at.x - b.at.x) > std::fabs(a.at.y - b.at.y)) continue;
            CAPTURE(k, n, a.at.x, a.at.y, b.at.x, b.at.y);
            const double there = lossDb(s, m, a, b), back = lossDb(s, m, b, a);
            // The sweep marches the nearest of its rays, and from the other end that is another one: the wall
            // is met up to half a cell sideways of the straight line.
            CHECK(there == Approx(back).margin(0.1));
            const double d = std::hypot(planeDistance(a.at, b.at), a.amsl - b.amsl);
            cut += there > losDb(d, 1.8) + 1;
        }
    }
    CHECK(cut > 100);
}

TEST_CASE(
    "Over a house with two walls the edge is that seen steepest, so that ends differ, within the bounds") {
    // One edge stands for a house (core/fringe/path_kernel.h): it is the near one for the lower end and may
    // be the far one for the higher. Either way the loss lies between the losses with and without sight.
    Random r(527);
    const LossModel m = smallCellModel(kBand);
    double most = 0;
    for (int k = 0; k < 60; ++k) {
        const Surface s = townOf({{ItemId{1}, square(300, 494, 700, 506), r.between(3, 14), 0}});
        const End a = endIn(r, 400, 480), b = endIn(r, 520, 600);
        const double there = lossDb(s, m, a, b), back = lossDb(s, m, b, a);
        const double d = std::hypot(planeDistance(a.at, b.at), a.amsl - b.amsl);
        for (const double loss : {there, back}) {
            CHECK(loss >= losDb(d, 1.8) - 0.02);
            CHECK(loss <= std::max(losDb(d, 1.8), nlosDb(d, 1.8)) + 0.02);
        }
        most = std::max(most, std::fabs(there - back));
    }
    INFO("largest difference " << most << " dB");
    CHECK(most > 0.1); // it is not reciprocal there, and says so
    CHECK(most < 2);   // about 1 dB over a house of 12 m
}

TEST_CASE("A profile is the same read from either end") {
    Random r(528);
    std::vector<Prism> houses;
    for (std::uint32_t k = 1; k <= 120; ++k) {
        const double x = r.between(20, 900), y = r.between(20, 900);
        houses.push_back(
            {ItemId{k}, square(x, y, x + r.between(6, 40), y + r.between(6, 40)), r.between(3, 25), 0});
    }
    const Surface s = townOf(houses);
    int cut = 0;
    for (int k = 0; k < 300; ++k) {
        const PathEnd a{{r.between(50, 950), r.between(50, 950)}, r.between(2, 30)},
            b{{r.between(50, 950), r.between(50, 950)}, r.between(2, 30)};
        const Profile p = profileBetween(s, a, b, kBand), q = profileBetween(s, b, a, kBand);
        CHECK(p.clear == q.clear);
        // Geometry in double: micrometres.
        CHECK(p.clearanceM == Approx(q.clearanceM).margin(1e-6));
        REQUIRE(p.worst);
        REQUIRE(q.worst);
        CHECK(p.worst->cause == q.worst->cause);
        CHECK(p.worst->alongM == Approx(p.lengthM - q.worst->alongM).margin(1e-6));
        CHECK(p.worst->nu == Approx(q.worst->nu).margin(1e-6));
        cut += !p.clear;
    }
    CHECK(cut > 50);
}

TEST_CASE("Urban macro with sight does not ask which end sends; without it the ends have roles") {
    // 3GPP TR 38.901, table 7.4.1-1: heights enter PL2 as (hBS - hUT)^2 and the breakpoint as a product, the
    // loss without sight as -0.6 (hUT - 1.5): a terminal is below the roofs, a base station above them.
    Random r(38901);
    for (int k = 0; k < 500; ++k) {
        const double d = r.between(10, 3000), a = r.between(1.6, 45), b = r.between(1.6, 45);
        CHECK(umaLos(d, a, b, kBand).v == Approx(umaLos(d, b, a, kBand).v).margin(1e-9));
        const double there = umaNlos(d, a, b, kBand).v, back = umaNlos(d, b, a, kBand).v;
        const double floor = umaLos(d, a, b, kBand).v + 0.01;
        if (there > floor && back > floor) CHECK(there - back == Approx(-0.6 * (b - a)).margin(1e-6));
    }
}

TEST_CASE(
    "Walking out from behind a house lower than the antenna, the loss has no step and the shadow thins") {
    // The house's far wall stands at 30 m; the walk leads away from it in steps of 10 cm.
    for (const double roof : {4.0, 6.0, 8.5}) {
        constexpr double antenna = 9, street = 1.5, wall = 30, near = 18;
        const LossModel m = smallCellModel(kBand);
        const double slope = std::max((roof - antenna) / wall, (roof - antenna) / near);
        const double edge = (roof - antenna) / wall >= (roof - antenna) / near ? wall : near;
        double lossBefore = 0, excessBefore = 0, nuBefore = 0, dBefore = 0;
        bool shadow = false, light = false;
        for (double d = wall + 0.5; d < 260; d += 0.1) {
            PathGeometry g{static_cast<float>(d), static_cast<float>(street - antenna)};
            g.bend = edgeBend(g.distanceM, g.riseM, static_cast<float>(slope), static_cast<float>(edge));
            const double loss = lossCenti(m, g) / 100.0, space = std::hypot(d, street - antenna);
            const double above = (slope - (street - antenna) / d) * edge;
            const double nu = fresnelNu(above, edge, d - edge, 299792458.0 / kBand.v);
            const double excess = loss - losDb(space, 1.8);
            CAPTURE(roof, d, loss, nu);
            if (dBefore > 0) {
                // P.526, eq. (31): dJ/dnu = 8.69 / sqrt((nu - 0.1)^2 + 1) dB, so never above 8.69 dB; the two
                // statistics move by at most 40 dB a decade. 0.02 dB of J end at nu = -0.78, 0.01 dB is
                // rounding.
                const double bound = 8.69 * std::fabs(nu - nuBefore) + 40 * std::log10(d / dBefore) + 0.05;
                CHECK(std::fabs(loss - lossBefore) <= bound);
                // Without sight's bound the excess grows with distance while J is above it.
                const bool bounded = nlosDb(space, 1.8) < losDb(space, 1.8) + knifeEdgeLoss(nu).v + 0.1;
                if (!bounded) CHECK(excess <= excessBefore + 0.02);
            }
            shadow |= nu > 0;
            light |= nu < 0;
            lossBefore = loss;
            excessBefore = excess;
            nuBefore = nu;
            dBefore = d;
        }
        CHECK(shadow);
        CHECK((light || roof > 8));
    }
}

TEST_CASE("Walking round a high corner the loss rises steadily from sight to its bound without") {
    // A pixel is the mean over its four cells of 2 m. What a walk of one pixel may change: nu by the angle of
    // a pixel at the corner, J by at most 8.69 dB a unit of nu (P.526, from eq. (31)), and within a pixel
    // of the corner's line half a cell of either side.
    HandPlan hand;
    const PlanePoint mast = place(1, 1);
    const ItemId small = hand.small(mast, 0);
    hand.building(place(30, 30), 40, 5); // 10 to 50 m east and north, 16 m high
    const auto study = compute(hand.done());
    REQUIRE(study);
    const StudyCore& core = (*study)->core();
    const SmallPath& path = *core.smallRuntime[static_cast<std::size_t>(core.smallIndex(small))].path;
    const double f = (*study)->smallCell(small)->frequency.v, ghz = f / 1e9;
    for (const double north : {62.0, 102.0, 150.0, 202.0}) {
        CAPTURE(north);
        double before = 0, largest = 0, first = 0, last = 0;
        for (int step = 0; step < 3 + static_cast<int>(north) / 4; ++step) {
            const PlanePoint p = place(2.05 + 4 * step, north);
            const int px = static_cast<int>(std::floor(p.x / 4)), py = static_cast<int>(std::floor(p.y / 4));
            const double loss = path.loss[path.index(px - path.pixelX, py - path.pixelY)] / 100.0;
            const double x = (px + 0.5) * 4 - mast.x, y = (py + 0.5) * 4 - mast.y, d = std::hypot(x, y);
            CAPTURE(x, loss, before);
            CHECK(loss >= losDb(d, ghz) - 0.15); // the mean over cells, and heights of 5.5 m left out here
            CHECK(loss <= nlosDb(d, ghz) + 0.15);
            if (step == 0) first = loss - losDb(d, ghz);
            // Where the line passes the corner, 9 m east and 49 m north of the mast, it is `past` metres in
            // the shadow.
            const double past = x * 49 / y - 9;
            if (std::fabs(past) > 4 && past < 12) { // beyond, the house's other side comes in sight again
                const double d1 = d * 49 / y,
                             nu = past * y / d * std::sqrt(2 * d * f / 299792458.0 / (d1 * (d - d1)));
                const double want =
                    std::min(losDb(d, ghz) + (nu > -0.78 ? knifeEdgeLoss(nu).v : 0.0), nlosDb(d, ghz));
                CHECK(loss == Approx(want).margin(3.5));
            }
            if (step > 0) {
                CHECK(loss >= before - 0.02); // never falls on the way into the shadow
                const double nuAPixel =
                    4 * 49 / y * std::sqrt(2 * d * f / 299792458.0 / (49 * d / y * (d - 49 * d / y)));
                CHECK(loss - before <= 8.69 * nuAPixel + 40 * std::log10((d + 4) / d));
                largest = std::max(largest, loss - before);
            }
            before = loss;
            last = nlosDb(d, ghz) - loss;
            if (past > 9) break;
        }
        CHECK(first < 0.3); // in full sight
        CHECK(last < 2);    // in full shadow, but for what comes over the roof far behind it
        CHECK(largest > 1);
    }
}
