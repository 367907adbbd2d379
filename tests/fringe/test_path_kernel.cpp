// SPDX-License-Identifier: GPL-3.0-or-later
// The loss kernel against its reference, the published functions and itself without wide instructions.
#include "base/random.h"
#include "catch.h"
#include "fringe/path_kernel.h"
#include "kernel_rows.h"
#include "radio/knife_edge.h"
#include "radio/street_microcell.h"
#include "radio/urban_macro.h"

#include <cmath>
#include <vector>

using namespace fw;

namespace {

PathGeometry randomPath(Random& r, double reach) {
    PathGeometry g;
    g.distanceM = static_cast<float>(r.between(0, reach));
    g.riseM = static_cast<float>(r.between(-35, 12));
    if (r.chance(0.8)) g.bend = static_cast<float>(std::pow(r.between(-1.5, 4), 3));
    return g;
}

PathGeometry past(float d, float rise, float edgeSlope, float edgeDist) {
    return {d, rise, edgeBend(d, rise, edgeSlope, edgeDist)};
}

} // namespace

TEST_CASE("The loss kernel agrees with its double-precision reference") {
    Random r(20260601);
    const LossModel models[] = {smallCellModel({2.6e9}),
                                smallCellModel({0.8e9}),
                                smallCellModel({3.5e9}, SmallPathModel::urbanMicro, 1.5),
                                macroModel({1.8e9}, 30, 1.5),
                                macroModel({3.5e9}, 25, 22.5),
                                macroModel({1.8e9}, 25, 1.5, MacroPathModel::urbanMacroOptional)};
    for (int k = 0; k < 60000; ++k) {
        const LossModel& m = models[k % 6];
        const PathGeometry g = randomPath(r, k % 6 < 3 ? 300 : 3000);
        CAPTURE(g.distanceM, g.riseM, g.bend);
        const double reference = lossReferenceDb(m, g);
        // Single precision: 1e-6 of an octave times 13 dB, nu to 1e-5 of its value times 9 dB per nu, and
        // half of 0.01 dB. Right at nu = -0.78 one side may count the last 0.02 dB of J and the other not.
        CHECK(std::fabs(lossCenti(m, g) / 100.0 - reference) <= 0.03);
    }
}

TEST_CASE(
    "Without edges a small cell's loss is P.1411's line of sight, far behind an edge its bound without") {
    for (const double ghz : {0.8, 1.8, 2.6, 3.5})
        for (const double d : {5.0, 20.0, 77.0, 300.0}) {
            const Hertz f{ghz * 1e9};
            const LossModel m = smallCellModel(f);
            CAPTURE(ghz, d);
            // Rec. ITU-R P.1411-11, table 4: 10 alpha log10 d + beta + 10 gamma log10 f.
            const double los = 21.2 * std::log10(d) + 29.2 + 21.1 * std::log10(ghz);
            const double nlos = 40 * std::log10(d) + 10.2 + 23.6 * std::log10(ghz);
            const auto df = static_cast<float>(d);
            CHECK(lossCenti(m, {df, 0}) / 100.0 == Approx(los).margin(0.011)); // 0.01 dB and float
            const PathGeometry deep =
                past(df, 0, 2.0f, df / 2); // an edge as high above the line as half the path
            const double j =
                knifeEdgeLoss(2.0 * d / 2 * std::sqrt(2 * d * f.v / 299792458.0 / (d * d / 4))).v;
            CHECK(lossCenti(m, deep) / 100.0 == Approx(std::max(los, std::min(los + j, nlos))).margin(0.03));
        }
}

TEST_CASE("A macro's loss is TR 38.901's urban macro with sight and, behind an edge, without") {
    for (const double h : {4.0, 15.0, 25.0, 40.0})
        for (const double d : {15.0, 60.0, 400.0, 1500.0, 2900.0}) {
            const Hertz f{1.8e9};
            const LossModel m = macroModel(f, h, 1.5);
            const double rise = 1.5 - h;
            CAPTURE(h, d);
            const auto df = static_cast<float>(d);
            CHECK(lossCenti(m, {df, static_cast<float>(rise)}) / 100.0 ==
                  Approx(umaLos(d, h, 1.5, f).v).margin(0.03)); // two straight lines through one formula
            const PathGeometry deep = past(df, static_cast<float>(rise), 5.0f, df / 2);
            CHECK(lossCenti(m, deep) / 100.0 == Approx(umaNlos(d, h, 1.5, f).v).margin(0.03));
        }
}

TEST_CASE("A small cell by TR 38.901's urban micro is the printed table, with sight and behind an edge") {
    for (const double ghz : {0.8, 2.6, 3.5})
        for (const double hUt : {1.5, 10.0, 22.5})
            for (const double d : {10.0, 40.0, 140.0, 290.0}) {
                CAPTURE(ghz, hUt, d);
                const LossModel m = smallCellModel({ghz * 1e9}, SmallPathModel::urbanMicro, hUt);
                // 3GPP TR 38.901, table 7.4.1-1, UMi - street canyon: antenna at 10 m, effective heights less
                // 1 m, c = 3.0e8 m/s.
                const double rise = hUt - 10, d3 = std::hypot(d, rise);
                const double bp = 4 * (10 - 1) * (hUt - 1) * ghz * 1e9 / 3.0e8;
                const double los = d <= bp ? 32.4 + 21 * std::log10(d3) + 20 * std::log10(ghz)
                                           : 32.4 + 40 * std::log10(d3) + 20 * std::log10(ghz) -
                                                 9.5 * std::log10(bp * bp + rise * rise);
                const double nlos =
                    std::max(los, 35.3 * std::log10(d3) + 22.4 + 21.3 * std::log10(ghz) - 0.3 * (hUt - 1.5));
                const auto df = static_cast<float>(d), rf = static_cast<float>(rise);
                CHECK(lossCenti(m, {df, rf}) / 100.0 ==
                      Approx(los).margin(0.03));                      // lines in single precision
                const PathGeometry deep = past(df, rf, 8.0f, df / 2); // J is above 25 dB there
                CHECK(lossCenti(m, deep) / 100.0 == Approx(nlos).margin(0.03));
            }
}

TEST_CASE("A macro by UMa's optional line is 32.4 + 20 log f + 30 log d without sight, and UMa with it") {
    for (const double d : {60.0, 400.0, 1500.0, 2900.0}) {
        const Hertz f{1.8e9};
        const LossModel m = macroModel(f, 25, 1.5, MacroPathModel::urbanMacroOptional);
        const auto df = static_cast<float>(d);
        CAPTURE(d);
        CHECK(lossCenti(m, {df, -23.5f}) == lossCenti(macroModel(f, 25, 1.5), {df, -23.5f}));
        // 3GPP TR 38.901, table 7.4.1-1, UMa NLOS, "optional".
        const double printed = 32.4 + 20 * std::log10(1.8) + 30 * std::log10(std::hypot(d, 23.5));
        const PathGeometry deep = past(df, -23.5f, 5.0f, df / 2);
        const double clear = lossCenti(m, {df, -23.5f}) / 100.0;
        CHECK(lossCenti(m, deep) / 100.0 == Approx(std::max(clear, printed)).margin(0.03));
    }
}

TEST_CASE("A rising edge never lowers the loss, makes no step, and never beats line of sight") {
    Random r(7);
    for (int k = 0; k < 300; ++k) {
        const LossModel m = k % 2 ? smallCellModel({2.6e9}) : macroModel({1.8e9}, 30, 1.5);
        const auto d = static_cast<float>(r.between(20, k % 2 ? 300 : 3000));
        const auto rise = static_cast<float>(r.between(-30, 0));
        const auto at = static_cast<float>(d * r.between(0.05, 0.95));
        const int clear = lossCenti(m, {d, rise});
        int before = clear;
        // J grows by at most 9 dB a unit of nu, and starts with a step of 0.02 dB at nu = -0.78 (the
        // approximation's own end). Raised by a hundredth of nu each time: 0.09 dB and rounding.
        const double nuPerSlope = at * std::sqrt(m.fresnel * d / (at * (d - at)));
        for (double nu = -1.5; nu < 6; nu += 0.01) {
            const auto slope = static_cast<float>(rise / d + nu / nuPerSlope);
            const int now = lossCenti(m, past(d, rise, slope, at));
            if (now < clear || now < before - 1 || now > before + 12) {
                CAPTURE(nu, now, before, clear, d, rise, at);
                FAIL("the loss steps or falls");
            }
            before = now;
        }
    }
    SUCCEED();
}

TEST_CASE("Rows come out the same with and without wide instructions") {
    Random r(99);
    int compared = 0;
    for (int round = 0; round < 200; ++round) {
        const int n = 1 + static_cast<int>(r.below(137)); // odd tails too
        std::vector<float> z, bend;
        for (int k = 0; k < n; ++k) {
            z.push_back(static_cast<float>(r.between(0, 60)));
            bend.push_back(r.chance(0.7) ? static_cast<float>(std::pow(r.between(-2, 4), 3)) : kUnbent);
        }
        const auto size = static_cast<std::size_t>(n);
        std::vector<std::int16_t> a(size), b(size), c(size), ea(size), eb(size), ec(size);
        const auto dx = static_cast<float>(r.between(-300, 300)),
                   dy = static_cast<float>(r.between(-300, 300));
        const LossModel m = smallCellModel({r.between(0.7e9, 3.8e9)});
        const RowInput in{n, dx, dy, z.data(), bend.data()};
        fw_plain::rows(m, in, a.data(), ea.data());
        lossRow(m, n, dx, 2, dy, 7, 0, z.data(), bend.data(), b.data());
        elevationRow(n, dx, 2, dy, 7, z.data(), eb.data());
        REQUIRE(a == b);
        REQUIRE(ea == eb);
        // The library chose for this processor; where that can do AVX2, force it as well.
        if (__builtin_cpu_supports("avx2")) {
            fw_wide::rows(m, in, c.data(), ec.data());
            REQUIRE(a == c);
            REQUIRE(ea == ec);
        }
        compared += n;
        for (int k = 0; k < n; ++k) { // elevation: stated error 0.06 deg
            const double d = std::hypot(dx + 2.0 * k, dy);
            const double deg =
                std::atan2(z[static_cast<std::size_t>(k)] - 7.0, std::max(0.1, d)) * 180 / M_PI;
            if (std::fabs(ea[static_cast<std::size_t>(k)] / 10.0 - deg) > 0.06) {
                CAPTURE(d, deg, ea[static_cast<std::size_t>(k)]);
                FAIL("elevation off");
            }
        }
    }
    CHECK(compared > 10000);
}
