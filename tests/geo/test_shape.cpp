// SPDX-License-Identifier: GPL-3.0-or-later
// Shape functions against slow twins that share no code with them. Every random test prints its seed.
#include "base/random.h"
#include "base/units.h"
#include "catch.h"
#include "geo/shape.h"

#include <cmath>
#include <cstdint>

using namespace fw;

namespace {

/// A ring around a centre with corners at rising bearings: never crosses itself. Seven corners or more keep
/// every gap below 98 deg, so that an inner radius of 30 clears a hole of 9.
Ring starRing(Random& r, PlanePoint c, double inner, double outer) {
    const int n = 7 + static_cast<int>(r.below(20));
    Ring ring;
    for (int i = 0; i < n; ++i) {
        const double a = 2 * kPi * (i + 0.9 * r.unit()) / n, d = r.between(inner, outer);
        ring.push_back({c.x + d * std::cos(a), c.y + d * std::sin(a)});
    }
    return ring;
}

Polygon randomPolygon(Random& r) {
    const PlanePoint c{r.between(4e5, 6e5), r.between(4e6, 5e6)};
    Polygon p{starRing(r, c, 30, 100), {}};
    if (r.chance(0.5)) p.holes.push_back(starRing(r, c, 3, 9));
    return p;
}

/// Sum of the angles under which a point sees the edges: +-360 deg inside, 0 outside.
bool insideByAngles(const Polygon& p, PlanePoint at) {
    auto turns = [&](const Ring& ring) {
        double sum = 0;
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const PlanePoint u = ring[i] - at, v = ring[(i + 1) % ring.size()] - at;
            sum += std::atan2(cross(u, v), dot(u, v));
        }
        return std::fabs(sum) > kPi;
    };
    if (!turns(p.outer)) return false;
    for (const Ring& h : p.holes)
        if (turns(h)) return false;
    return true;
}

/// Shortest distance to a line by walking along it in 20,000 steps.
double distanceByWalking(const Line& line, PlanePoint at) {
    double best = 1e300;
    for (std::size_t i = 0; i + 1 < line.size(); ++i)
        for (int k = 0; k <= 20000; ++k)
            best = std::min(best, planeDistance(at, line[i] + (line[i + 1] - line[i]) * (k / 20000.0)));
    return best;
}

Ring closed(Ring r) {
    r.push_back(r.front());
    return r;
}

std::int64_t orient(const std::int64_t* a, const std::int64_t* b, const std::int64_t* c) {
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}

} // namespace

TEST_CASE("A point is inside where the edges turn once around it", "[shape]") {
    const std::uint64_t seed = 20260101;
    INFO("seed " << seed);
    Random r(seed);
    int inside = 0;
    for (int i = 0; i < 20000; ++i) {
        const Polygon p = randomPolygon(r);
        const Box b = boundsOf(p).grown(5);
        const PlanePoint at{r.between(b.x0, b.x1), r.between(b.y0, b.y1)};
        const bool expected = insideByAngles(p, at);
        inside += expected;
        REQUIRE(contains(p, at) == expected);
    }
    CHECK(inside > 4000); // the test must see both answers
    CHECK(inside < 16000);
}

TEST_CASE("Corners and edges count as inside", "[shape]") {
    const Polygon p{{{0, 0}, {10, 0}, {10, 10}, {0, 10}}, {{{4, 4}, {4, 6}, {6, 6}, {6, 4}}}};
    for (const PlanePoint at : {PlanePoint{0, 0}, {10, 10}, {5, 0}, {0, 3}, {4, 5}, {6, 6}, {2, 4}})
        CHECK(contains(p, at));
    CHECK_FALSE(contains(p, {5, 5}));
    CHECK_FALSE(contains(p, {-1e-9, 5}));
    CHECK_FALSE(contains(p, {12, 0})); // level with an edge, beyond it
    CHECK_FALSE(contains(p, {-3, 10}));
}

TEST_CASE("Area and centre of an area agree with counting small squares", "[shape]") {
    const std::uint64_t seed = 7;
    INFO("seed " << seed);
    Random r(seed);
    for (int i = 0; i < 20; ++i) {
        const Polygon p = randomPolygon(r);
        const Box b = boundsOf(p);
        const int n = 400;
        double count = 0;
        PlanePoint sum;
        for (int row = 0; row < n; ++row)
            for (int col = 0; col < n; ++col) {
                const PlanePoint at{b.x0 + (col + 0.5) * b.width() / n, b.y0 + (row + 0.5) * b.height() / n};
                if (!insideByAngles(p, at)) continue;
                count += 1;
                sum = sum + (at - b.centre());
            }
        const double area = count * b.width() * b.height() / (n * n);
        // A boundary of 20 edges cuts a few thousand of 160,000 squares at random: well below 1 %.
        CHECK(areaOf(p) == Approx(area).epsilon(0.01));
        CHECK(planeDistance(centroidOf(p), b.centre() + sum * (1 / count)) < 0.3);
    }
}

TEST_CASE("Area of figures known by hand", "[shape]") {
    const Ring square{{0, 0}, {10, 0}, {10, 10}, {0, 10}};
    CHECK(signedArea(square) == 100);
    CHECK(signedArea({square.rbegin(), square.rend()}) == -100);
    const Polygon framed{square, {{{2, 2}, {2, 4}, {4, 4}, {4, 2}}}};
    CHECK(areaOf(framed) == 96);
    // First moment 100*5 - 4*3 = 488, over 96.
    CHECK(centroidOf(framed).x == Approx(488.0 / 96.0));
    CHECK(lengthOf({{0, 0}, {3, 4}, {3, 10}}) == 11);
    CHECK(lengthOf({{1, 1}}) == 0);
}

TEST_CASE("Tidying turns rings the right way and drops what has no area", "[shape]") {
    const auto p = tidied({{{0, 10}, {0, 10}, {10, 10}, {10, 0}, {0, 0}, {0, 10}},
                           {{{2, 2}, {4, 2}, {4, 4}}, {{5, 5}, {6, 6}, {7, 7}}}});
    REQUIRE(p);
    CHECK(p->outer.size() == 4);
    CHECK(signedArea(p->outer) == 100);
    REQUIRE(p->holes.size() == 1);
    CHECK(signedArea(p->holes[0]) == -2);
    CHECK_FALSE(tidied({{{0, 0}, {1, 1}, {0, 0}}, {}}));
    CHECK_FALSE(tidied({{{500000.1, 4000000.2}, {500010.3, 4000010.4}, {500020.5, 4000020.6}}, {}}));
    CHECK_FALSE(tidied({{{0, 0}, {1, NAN}, {0, 1}}, {}}));
    CHECK_FALSE(tidied({}));
}

TEST_CASE("The nearest place on a line is as near as walking along it finds", "[shape]") {
    const std::uint64_t seed = 99;
    INFO("seed " << seed);
    Random r(seed);
    for (int i = 0; i < 30; ++i) {
        Line line;
        for (int k = 0; k < 4; ++k) line.push_back({r.between(0, 100), r.between(0, 100)});
        const PlanePoint at{r.between(-50, 150), r.between(-50, 150)};
        const OnLine on = nearestOn(line, at);
        const double walked = distanceByWalking(line, at);
        CHECK(on.distanceM <= walked + 1e-9);
        // The walk's step is at most 141 m / 20000; it overshoots by less than the step.
        CHECK(on.distanceM >= walked - 0.0072);
        const PlanePoint a = line[on.segment], b = line[on.segment + 1];
        CHECK(planeDistance(a + (b - a) * on.along, on.nearest) < 1e-9);
        CHECK(planeDistance(at, on.nearest) == Approx(on.distanceM).margin(1e-12));

        const Polygon p = randomPolygon(r);
        const PlanePoint q = p.outer[0] + PlanePoint{r.between(-80, 80), r.between(-80, 80)};
        double edge = distanceByWalking(closed(p.outer), q);
        for (const Ring& h : p.holes) edge = std::min(edge, distanceByWalking(closed(h), q));
        CHECK(nearestOnBoundary(p, q).distanceM == Approx(edge).margin(0.011)); // edges up to 200 m
    }
    const OnLine single = nearestOn({{3, 4}}, {0, 0});
    CHECK(single.distanceM == 5);
    CHECK(single.segment == 0);
}

TEST_CASE("Crossings of a segment agree with points along it", "[shape]") {
    const std::uint64_t seed = 4711;
    INFO("seed " << seed);
    Random r(seed);
    int spans = 0;
    for (int i = 0; i < 400; ++i) {
        const Polygon p = randomPolygon(r);
        const Box box = boundsOf(p).grown(20);
        const PlanePoint a{r.between(box.x0, box.x1), r.between(box.y0, box.y1)};
        const PlanePoint b{r.between(box.x0, box.x1), r.between(box.y0, box.y1)};
        const auto found = crossings(p, a, b);
        spans += static_cast<int>(found.size());
        for (int k = 0; k < 500; ++k) {
            const double t = (k + r.unit()) / 500;
            bool in = false, nearCut = false;
            for (const Span& s : found) {
                REQUIRE(s.from < s.to);
                in = in || (t >= s.from && t <= s.to);
                nearCut = nearCut || std::fabs(t - s.from) < 1e-9 || std::fabs(t - s.to) < 1e-9;
            }
            if (!nearCut) REQUIRE(in == insideByAngles(p, a + (b - a) * t));
        }
        for (std::size_t k = 1; k < found.size(); ++k) REQUIRE(found[k - 1].to < found[k].from);
    }
    CHECK(spans > 200);
}

TEST_CASE("Crossings known by hand", "[shape]") {
    const Polygon p{{{0, 0}, {10, 0}, {10, 10}, {0, 10}}, {{{4, 4}, {4, 6}, {6, 6}, {6, 4}}}};
    const auto through = crossings(p, {-10, 5}, {30, 5}); // in at 10, hole from 14 to 16, out at 20 of 40 m
    REQUIRE(through.size() == 2);
    CHECK(through[0].from == Approx(0.25));
    CHECK(through[0].to == Approx(0.35));
    CHECK(through[1].from == Approx(0.40));
    CHECK(through[1].to == Approx(0.50));
    const auto corners = crossings(p, {-1, -1}, {11, 11}); // through two corners and the hole's corners
    REQUIRE(corners.size() == 2);
    CHECK(corners[0].from == Approx(1.0 / 12));
    CHECK(corners[1].to == Approx(11.0 / 12));
    CHECK(crossings(p, {1, 1}, {2, 3}).size() == 1);   // all inside
    CHECK(crossings(p, {-1, 1}, {1, -1}).empty());     // touches the corner (0, 0) alone
    CHECK(crossings(p, {20, 0}, {20, 10}).empty());    // passes by
    CHECK(crossings(p, {-5, 0}, {15, 0}).size() == 1); // along an edge
}

TEST_CASE("Segments meet as whole-number arithmetic says", "[shape]") {
    const std::uint64_t seed = 31;
    INFO("seed " << seed);
    Random r(seed);
    int meet = 0;
    for (int i = 0; i < 50000; ++i) {
        std::int64_t v[4][2];
        for (auto& p : v)
            for (auto& c : p) c = r.below(6); // a small grid, so that touching and lying along happen often
        // Two segments share a point when the boxes meet and each straddles or touches the other's line.
        auto boxes = [&](int k) {
            return std::max(std::min(v[0][k], v[1][k]), std::min(v[2][k], v[3][k])) <=
                   std::min(std::max(v[0][k], v[1][k]), std::max(v[2][k], v[3][k]));
        };
        const bool expected = boxes(0) && boxes(1) &&
                              orient(v[0], v[1], v[2]) * orient(v[0], v[1], v[3]) <= 0 &&
                              orient(v[2], v[3], v[0]) * orient(v[2], v[3], v[1]) <= 0;
        auto at = [&](int k) {
            return PlanePoint{static_cast<double>(v[k][0]), static_cast<double>(v[k][1])};
        };
        meet += expected;
        REQUIRE(segmentsMeet(at(0), at(1), at(2), at(3)) == expected);
    }
    CHECK(meet > 5000);
}

TEST_CASE("A box grows by what is added", "[shape]") {
    Box b;
    CHECK(b.empty());
    b.add(Box{});
    CHECK(b.empty());
    b.add(PlanePoint{3, -4});
    CHECK(b == Box{3, -4, 3, -4});
    b.add(Box{-1, 0, 1, 9});
    CHECK(b == Box{-1, -4, 3, 9});
}
