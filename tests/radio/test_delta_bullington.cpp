// SPDX-License-Identifier: GPL-3.0-or-later
// What must hold for the diffraction over whole profiles besides its published values, which tests/calc runs
// from tests/reference.
#include "base/random.h"
#include "catch.h"
#include "radio/delta_bullington.h"
#include "radio/free_space.h"

#include <algorithm>
#include <cmath>

using namespace fw;

namespace {

struct Terrain {
    EdgeProfile path;
    std::vector<double> groundM;
};

Terrain drawn(Random& r) {
    Terrain t;
    const int points = static_cast<int>(r.between(3, 40));
    double x = 0;
    for (int k = 0; k < points; ++k) {
        t.path.distanceM.push_back(x);
        x += r.between(20, 1500);
        t.groundM.push_back(r.between(0, 80));
        t.path.heightM.push_back(t.groundM.back() + r.between(0, 25));
    }
    t.path.heightM.front() = t.groundM.front();
    t.path.heightM.back() = t.groundM.back();
    t.path.txHeightM = t.groundM.front() + r.between(1.5, 120);
    t.path.rxHeightM = t.groundM.back() + r.between(1.5, 120);
    return t;
}

Terrain turned(const Terrain& t) {
    Terrain out = t;
    const double d = t.path.distanceM.back();
    for (std::size_t k = 0; k < t.groundM.size(); ++k)
        out.path.distanceM[k] = d - t.path.distanceM[t.groundM.size() - 1 - k];
    std::reverse(out.path.heightM.begin(), out.path.heightM.end());
    std::reverse(out.groundM.begin(), out.groundM.end());
    std::swap(out.path.txHeightM, out.path.rxHeightM);
    return out;
}

} // namespace

TEST_CASE("profiles: which end transmits does not matter to any part of the diffraction", "[radio]") {
    Random r(526);
    for (int k = 0; k < 3000; ++k) {
        const Terrain t = drawn(r), back = turned(t);
        const Hertz f = megahertz(r.between(100, 6000));
        const auto pol = k % 2 ? Polarisation::vertical : Polarisation::horizontal;
        const double sea = r.between(0, 1), lambda = wavelengthM(f);
        const auto there = deltaBullington(t.path, t.groundM, pol, sea, f, lambda);
        const auto here = deltaBullington(back.path, back.groundM, pol, sea, f, lambda);
        // Sums in another order: 1e-6 dB is far above rounding and far below any use.
        REQUIRE(there.total.v == Approx(here.total.v).margin(1e-6));
        REQUIRE(there.actual.v == Approx(here.actual.v).margin(1e-6));
        REQUIRE(there.smooth.v == Approx(here.smooth.v).margin(1e-6));
        REQUIRE(there.spherical.v == Approx(here.spherical.v).margin(1e-6));
        REQUIRE(there.surface.txM == Approx(here.surface.rxM).margin(1e-6));
        REQUIRE(there.total.v >= there.actual.v);
        REQUIRE(there.surface.txM <= t.groundM.front());
        REQUIRE(there.surface.rxM <= t.groundM.back());
        REQUIRE(deygoutLoss(t.path, lambda).v == Approx(deygoutLoss(back.path, lambda).v).margin(1e-6));
    }
}

TEST_CASE("flat land: smooth and actual are one, and what is left is the round Earth", "[radio]") {
    const Hertz f = megahertz(2000);
    const double lambda = wavelengthM(f);
    for (const double km : {5.0, 20.0, 35.0, 60.0, 100.0}) {
        EdgeProfile p;
        for (int k = 0; k <= 100; ++k) p.distanceM.push_back(k * km * 10);
        p.heightM.assign(101, 0.0);
        p.txHeightM = 30;
        p.rxHeightM = 10;
        const auto out = deltaBullington(p, p.heightM, Polarisation::horizontal, 0, f, lambda);
        CHECK(out.surface.txM == Approx(0).margin(1e-9));
        CHECK(out.actual.v == Approx(out.smooth.v).margin(1e-9));
        CHECK(out.total.v == Approx(std::max(out.spherical.v, out.actual.v)).margin(1e-9));
    }
}

TEST_CASE("round Earth: nothing while 0.6 of the Fresnel zone is free, then rising without a step",
          "[radio]") {
    for (const double mhz : {100.0, 800.0, 2600.0, 28000.0})
        for (const auto pol : {Polarisation::horizontal, Polarisation::vertical})
            for (const double sea : {0.0, 0.4, 1.0}) {
                const Hertz f = megahertz(mhz);
                const auto loss = [&](double d) {
                    return sphericalEarthLoss({d, 30, 10, 8500e3, sea, pol}, f, wavelengthM(f)).v;
                };
                CHECK(loss(500) == 0);
                double before = 0;
                for (double d = 500; d < 120e3; d *= 1.002) {
                    const double now = loss(d);
                    // 0.02 dB is the published step of the height gain.
                    REQUIRE(now > before - 0.02);
                    // 0.2 % of the path: 17.6 dB a unit of X beyond the horizon (P.526-16, 3.1.1), about
                    // twice that before it.
                    const double x = 21.88 * std::cbrt(mhz / 1000 / (8500.0 * 8500.0)) * d / 1000;
                    REQUIRE(now - before < 0.05 + 0.002 * 40 * x);
                    before = now;
                }
                CHECK(before > 20);
                // P.526-16, 3.2: at the horizon both laws give the first term.
                const double horizon = std::sqrt(2 * 8500e3) * (std::sqrt(30.0) + std::sqrt(10.0));
                CHECK(loss(horizon * (1 - 1e-9)) == Approx(loss(horizon * (1 + 1e-9))).margin(1e-4));
            }
    // Sea lies lower in loss for vertical waves at low frequencies, and nothing for horizontal ones.
    const Hertz low = megahertz(30);
    const SphericalPath path{60e3, 10, 10, 8500e3, 0, Polarisation::vertical};
    CHECK(firstTermLoss(path, low, kSea).v < firstTermLoss(path, low, kLand).v - 10);
    CHECK(sphericalRange(megahertz(29)) == Range::below);
    CHECK(sphericalRange(megahertz(3500)) == Range::inside);
    CHECK(sphericalRange(megahertz(60000)) == Range::above);
}

TEST_CASE("smooth surface: a plane is met, hills that block draw it down, and it never lifts an end",
          "[radio]") {
    EdgeProfile p;
    std::vector<double> plane;
    for (int k = 0; k <= 20; ++k) {
        p.distanceM.push_back(k * 500.0 + (k % 3) * 100.0);
        plane.push_back(100 - 0.004 * p.distanceM.back());
    }
    p.heightM = plane;
    p.txHeightM = plane.front() + 30;
    p.rxHeightM = plane.back() + 30;
    const SmoothSurface flat = smoothSurface(p, plane);
    CHECK(flat.txM == Approx(plane.front()).margin(1e-9));
    CHECK(flat.rxM == Approx(plane.back()).margin(1e-9));
    std::vector<double> hill = plane;
    hill[5] += 200;
    CHECK(smoothSurface(p, hill).txM < flat.txM - 20);
    CHECK(smoothSurface(p, hill).rxM <= hill.back());
}
