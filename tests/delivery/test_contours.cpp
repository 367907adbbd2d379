// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/map_content.h"

#include "catch.h"

#include <cmath>

using namespace fw;

TEST_CASE("contours of an inclined plane are its straight lines") {
    Grid<float> g(100, 200, 10, 20, 15);
    for (int r = 0; r < g.height; ++r)
        for (int c = 0; c < g.width; ++c) g.at(c, r) = static_cast<float>((g.centre(c, r).x - 100) * 0.1);
    const auto lines = contoursOf(g, 5);
    // Centres run from x = 105 (0.5 m) to 295 (19.5 m): 5, 10 and 15 m lie inside.
    REQUIRE(lines.size() == 3);
    for (std::size_t i = 0; i < lines.size(); ++i) {
        CHECK(lines[i].heightM == 5.0 * static_cast<double>(i + 1));
        CHECK(lines[i].line.size() == static_cast<std::size_t>(g.height));
        // Heights are floats near 20: 1e-6 m, on a slope of 0.1 that is 1e-5 m sideways.
        for (const PlanePoint p : lines[i].line)
            CHECK(p.x == Approx(100 + lines[i].heightM * 10).margin(2e-5));
    }
}

TEST_CASE("contours of a cone are closed circles") {
    Grid<float> g(-200, -200, 5, 80, 80);
    for (int r = 0; r < g.height; ++r)
        for (int c = 0; c < g.width; ++c) g.at(c, r) = static_cast<float>(100 - 0.5 * length(g.centre(c, r)));
    int seen = 0;
    for (const Contour& c : contoursOf(g, 10)) {
        const double radius = (100 - c.heightM) * 2;
        if (radius < 20 || radius > 190)
            continue; // near the tip cells are too coarse, farther out the grid ends
        ++seen;
        REQUIRE(c.line.size() > 10);
        CHECK(c.line.front() == c.line.back());
        // Linear between centres: the chord of a 7.1 m diagonal lies at most 7.1^2 / (8 r) inside the circle.
        for (const PlanePoint p : c.line) CHECK(std::fabs(length(p) - radius) < 50.0 / (8 * radius) + 1e-3);
        CHECK(lengthOf(c.line) == Approx(2 * kPi * radius).epsilon(0.01)); // a polygon is a little shorter
    }
    CHECK(seen == 9); // 10 m (180 m out), 20 m ... 90 m (20 m out)
}

TEST_CASE("the step keeps the number of heights down") {
    Grid<float> g(0, 0, 1, 2, 1);
    g.at(0, 0) = 3;
    g.at(1, 0) = 63;
    CHECK(contourStep(g, 10) == 10);
    CHECK(contourStep(g, 6) == 10);
    CHECK(contourStep(g, 5) == 20);
    CHECK(contourStep(g, 100) == 1);
}
