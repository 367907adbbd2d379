// SPDX-License-Identifier: GPL-3.0-or-later
// What must hold for the clutter losses of Rec. ITU-R P.2108 besides their published values, which tests/calc
// runs from tests/reference.
#include "catch.h"
#include "radio/clutter_loss.h"

#include <cmath>
#include <limits>

using namespace fw;

TEST_CASE("terminal clutter: rises as the terminal sinks, nothing at the clutter's height and above",
          "[radio]") {
    const Hertz f = megahertz(1800);
    for (const auto kind : {ClutterKind::water, ClutterKind::rural, ClutterKind::suburban, ClutterKind::urban,
                            ClutterKind::trees, ClutterKind::dense}) {
        const double top = usualClutterHeightM(kind);
        double before = terminalClutterLoss(kind, f, top, top).v;
        CHECK(before == 0);
        CHECK(terminalClutterLoss(kind, f, top + 20, top).v == 0);
        // Continuous at the top: J(0) - 6.03 = 0.0029 dB is the only step, P.526-16 eq. (31) at 0.
        CHECK(terminalClutterLoss(kind, f, top - 1e-9, top).v == Approx(0).margin(0.0035));
        for (double h = top - 0.01; h > 0.5; h -= 0.05) {
            const double now = terminalClutterLoss(kind, f, h, top).v;
            REQUIRE(now > before);
            before = now;
        }
        CHECK(terminalClutterLoss(kind, megahertz(3000), 1.5, top).v >
              terminalClutterLoss(kind, megahertz(300), 1.5, top).v);
    }
    // A narrower street is seen into more steeply.
    CHECK(terminalClutterLoss(ClutterKind::urban, f, 1.5, 15, 12).v >
          terminalClutterLoss(ClutterKind::urban, f, 1.5, 15, 40).v);
    CHECK(terminalClutterRange(megahertz(29)) == Range::below);
    CHECK(terminalClutterRange(megahertz(3500)) == Range::above);
}

TEST_CASE("terrestrial clutter: rises with distance to 2 km and stays, rises with share and frequency",
          "[radio]") {
    for (const double mhz : {500.0, 2600.0, 3500.0, 28000.0, 67000.0})
        for (const double share : {0.001, 0.05, 0.5, 0.95, 0.999}) {
            const Hertz f = megahertz(mhz);
            double before = -1e9;
            for (double d = 250; d < 2000; d *= 1.02) {
                const double now = terrestrialClutterLoss(f, d, share).v;
                REQUIRE(now >= before);
                if (share <= 0.5) REQUIRE(now > before);
                before = now;
            }
            CHECK(terrestrialClutterLoss(f, 2000, share).v == terrestrialClutterLoss(f, 90000, share).v);
            CHECK(terrestrialClutterLoss(f, 1999.999, share).v ==
                  Approx(terrestrialClutterLoss(f, 2000, share).v).margin(1e-4));
            CHECK(terrestrialClutterLoss(f, 500, share).v < terrestrialClutterLoss(f, 500, share + 0.0005).v);
        }
    CHECK(terrestrialClutterRange(megahertz(2600), 250).inside());
    CHECK(terrestrialClutterRange(megahertz(2600), 249).distance == Range::below);
    CHECK(terrestrialClutterRange(megahertz(499), 1e6).frequency == Range::below);
    CHECK(terrestrialClutterRange(megahertz(2600), 1e6).inside());
    CHECK_FALSE(terrestrialClutterRange(megahertz(2600), std::numeric_limits<double>::quiet_NaN()).inside());
}

TEST_CASE("slant clutter: the higher the path the less, nothing at the median straight up", "[radio]") {
    const Hertz f = megahertz(28000);
    double before = 1e9;
    for (double e = 0; e <= 90; e += 0.5) {
        const double now = slantClutterLoss(f, e, 0.5).v;
        if (e <= 89)
            REQUIRE(now < before);
        else
            REQUIRE(std::fabs(now) < 0.001); // it dips below 0 and comes back, as published
        before = now;
    }
    CHECK(before == Approx(0).margin(1e-9)); // eq. (7): x^0 - 1 at 90 deg
    CHECK(slantClutterLoss(f, 20, 0.9).v > slantClutterLoss(f, 20, 0.5).v);
    CHECK(slantClutterRange(megahertz(9999)) == Range::below);
    CHECK(slantClutterRange(f) == Range::inside);
}
