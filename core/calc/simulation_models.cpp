// SPDX-License-Identifier: GPL-3.0-or-later
// What 3GPP TR 38.901 has besides the losses of urban macro and micro: walls, shadowing, upper floors, rural.
#include "calc/house_steps.h"
#include "calc/models.h"
#include "radio/outdoor_to_indoor.h"
#include "radio/rural_macro.h"
#include "radio/shadowing.h"
#include "radio/tall_terminal.h"
#include "radio/urban_macro.h"

#include <algorithm>
#include <fmt/format.h>
#include <iterator>

namespace fw::calc {
namespace {

WallMaterial materialOf(const Given& in) {
    const std::string& m = in.choice("material");
    return m == "glass"      ? WallMaterial::glass
           : m == "iirglass" ? WallMaterial::coatedGlass
           : m == "wood"     ? WallMaterial::wood
                             : WallMaterial::concrete;
}
WallKind wallOf(const Given& in) { return in.choice("wall") == "low" ? WallKind::low : WallKind::high; }

Status material(const Given& in, Working& out) {
    step(out, "penetration loss",
         "glass 2 + 0.2 f; iirglass 23 + 0.3 f; concrete 5 + 4 f; wood 4.85 + 0.12 f",
         materialLoss(materialOf(in), hertz(in)).v, "dB");
    return Done{};
}

Status wall(const Given& in, Working& out) {
    const bool low = wallOf(in) == WallKind::low;
    step(out, "spread of the loss", "table", wallSpreadDb(wallOf(in)), "dB");
    step(out, low ? "glass" : "coated glass (IIR)", low ? "2 + 0.2 f_GHz" : "23 + 0.3 f_GHz",
         materialLoss(low ? WallMaterial::glass : WallMaterial::coatedGlass, hertz(in)).v, "dB");
    step(out, "concrete", "5 + 4 f_GHz", materialLoss(WallMaterial::concrete, hertz(in)).v, "dB");
    step(out, "loss through the wall",
         low ? "5 - 10 log10(0.3 10^(-L_glass / 10) + 0.7 10^(-L_concrete / 10))"
             : "5 - 10 log10(0.7 10^(-L_iirglass / 10) + 0.3 10^(-L_concrete / 10))",
         wallLoss(wallOf(in), hertz(in)).v, "dB");
    out.remarks.emplace_back("Not to be added to the building entry loss of P.2109, which holds the wall.");
    return Done{};
}

Status depth(const Given& in, Working& out) {
    step(out, "loss inside", "0.5 d2D_in", indoorDepthLoss(in.number("d2D_in_m")).v, "dB");
    return Done{};
}

Status wallSpread(const Given& in, Working& out) {
    step(out, "spread", "table", wallSpreadDb(wallOf(in)), "dB");
    return Done{};
}

Shadowing shadowingOf(const Given& in) {
    const std::string& state = in.choice("state");
    return fw::shadowingOf(in.choice("scenario") == "UMi" ? UrbanScenario::micro : UrbanScenario::macro,
                           state == "LOS"    ? UrbanState::sight
                           : state == "NLOS" ? UrbanState::noSight
                                             : UrbanState::indoors);
}

Status spread(const Given& in, Working& out) {
    step(out, "spread", "table", shadowingOf(in).spreadDb, "dB");
    return Done{};
}
Status correlationDistance(const Given& in, Working& out) {
    step(out, "correlation distance", "table", shadowingOf(in).correlationM, "m");
    return Done{};
}
Status correlation(const Given& in, Working& out) {
    step(out, "correlation distance", "table", shadowingOf(in).correlationM, "m");
    step(out, "correlation of the shadowing", "exp(-dx / d_cor)",
         shadowingCorrelation(shadowingOf(in), in.number("dx_m")), "1");
    return Done{};
}

void chanceSteps(Working& out, double d, double hUt) {
    const double chance = environmentHeights(d, hUt).oneMetreChance;
    step(out, "taller terminal, C'(hUT)", "((min(hUT, 23) - 13) / 10)^1.5; 0 up to 13 m", umaTallFactor(hUt),
         "1");
    step(out, "C(d2D, hUT)",
         "C' 1.25 (d2D / 100)^3 exp(-d2D / 150); 0 up to 18 m and where no height is left",
         1.0 / chance - 1.0, "1");
    step(out, "chance that the environment is at 1 m", "1 / (1 + C(d2D, hUT))", chance, "1");
}

Status tall(const Given& in, Working& out) {
    const double d = in.number("d2D_m"), hBs = in.number("hBS_m"), hUt = in.number("hUT_m");
    const EnvironmentHeights heights = environmentHeights(d, hUt);
    chanceSteps(out, d, hUt);
    step(out, "other heights, equally likely", "12, 15, ... hUT - 1.5",
         static_cast<double>(heights.others.size()), "1");
    step(out, "median path loss over 1 m", "as uma_los, the breakpoint 4 (hBS - 1)(hUT - 1) f / 3.0e8",
         umaLosOver(1, d, hBs, hUt, hertz(in)).v, "dB");
    for (const double h : heights.others)
        step(out, fmt::format("median path loss over {:g} m", h),
             fmt::format("as uma_los, the breakpoint 4 (hBS - {0:g})(hUT - {0:g}) f / 3.0e8", h),
             umaLosOver(h, d, hBs, hUt, hertz(in)).v, "dB");
    step(out, "mean of the medians",
         "chance of 1 m times the loss over it + the rest times the mean of the others",
         umaLosMean(d, hBs, hUt, hertz(in)).v, "dB");
    out.remarks.emplace_back(
        "The source draws one height at random; the mean is our own use of its chances.");
    return Done{};
}

Status environmentChance(const Given& in, Working& out) {
    chanceSteps(out, in.number("d2D_m"), in.number("hUT_m"));
    return Done{};
}

Status rural(const Given& in, Working& out, bool sight) {
    const StreetGrid grid{in.number("h_m"), in.number("W_m")};
    const double d = in.number("d2D_m"), hBs = in.number("hBS_m"), hUt = in.number("hUT_m");
    const double breakM = ruralBreakpointM(hBs, hUt, hertz(in)), d3d = distance3dM(d, hBs, hUt);
    step(out, "distance in space", "sqrt(d2D^2 + (hBS - hUT)^2)", d3d, "m");
    step(out, "breakpoint", "2 pi hBS hUT f / 3.0e8", breakM, "m");
    sightOverHouses(out, grid, "d3D", d3d, d > breakM, {hBs, hUt, hertz(in)});
    if (sight) return Done{};
    step(out, "line without sight",
         "161.04 - 7.1 log10 W + 7.5 log10 h - (24.37 - 3.7 (h / hBS)^2) log10 hBS + (43.42 - 3.1 log10 "
         "hBS)(log10 d3D - 3) + 20 log10 f_GHz - (3.2 log10(11.75 hUT)^2 - 4.97)",
         m2135Nlos(grid, d3d, hBs, hUt, hertz(in)).v, "dB");
    step(out, "median path loss", "the greater of the path loss with sight and the line without",
         ruralNlos(grid, d, hBs, hUt, hertz(in)).v, "dB");
    return Done{};
}
Status ruralSight(const Given& in, Working& out) { return rural(in, out, true); }
Status ruralNoSight(const Given& in, Working& out) { return rural(in, out, false); }

std::vector<InputInfo> ruralInputs(double farM) {
    return {frequency(0.5, 30),
            metres("d2D", "distance along the ground", 10, farM),
            withDefault(metres("hBS", "base station above the ground", 10, 150), "35"),
            withDefault(metres("hUT", "terminal above the ground", 1, 10), "1.5"),
            withDefault(metres("h", "average height of the buildings", 5, 50), "5"),
            withDefault(metres("W", "average width of the streets", 5, 50), "20")};
}

std::vector<Model> wallModels() {
    const InputInfo f = frequency(0.5, 100), wallKind = oneOf("wall", "kind of wall", {"low", "high"});
    const char* const table2 = "3GPP TR 38.901, Table 7.4.3-2";
    InputInfo in = plain("d2D_in_m", "depth inside", "m");
    in.least = 0;
    return {
        {{"tr38901_material",
          "Penetration loss of a material",
          {f, oneOf("material", "which one", {"concrete", "glass", "iirglass", "wood"})},
          "loss",
          "dB",
          "3GPP TR 38.901, Table 7.4.3-1"},
         material},
        {{"tr38901_wall", "Loss through a building's outer wall", {f, wallKind}, "loss", "dB", table2}, wall},
        {{"tr38901_wall_spread", "Spread of the loss into a building", {wallKind}, "spread", "dB", table2},
         wallSpread},
        {{"tr38901_indoor", "Loss inside a building over a depth", {stated(in, 0, 25)}, "loss", "dB", table2},
         depth},
    };
}

std::vector<Model> shadowingModels() {
    const InputInfo scenario = oneOf("scenario", "which one", {"UMi", "UMa"});
    const InputInfo state = oneOf("state", "of the path", {"LOS", "NLOS", "O2I"});
    InputInfo dx = plain("dx_m", "distance between two places", "m");
    dx.least = 0;
    return {
        {{"tr38901_shadowing",
          "Spread of the path loss, urban",
          {scenario, state},
          "spread",
          "dB",
          "3GPP TR 38.901, Table 7.4.1-1 and Table 7.5-6"},
         spread},
        {{"tr38901_shadowing_distance",
          "Correlation distance of the shadowing, urban",
          {scenario, state},
          "distance",
          "m",
          "3GPP TR 38.901, Table 7.5-6"},
         correlationDistance},
        {{"tr38901_shadowing_correlation",
          "Correlation of the shadowing at two places, urban",
          {scenario, state, dx},
          "correlation",
          "1",
          "3GPP TR 38.901, 7.4.4, eq. (7.4-5)"},
         correlation},
    };
}

} // namespace

std::vector<Model> simulationModels() {
    const InputInfo hUt = withDefault(metres("hUT", "terminal above the ground", 1.5, 22.5), "1.5");
    const char* const note = "3GPP TR 38.901, Table 7.4.1-1, note 1";
    std::vector<Model> out = {
        {{"uma_environment_chance",
          "Chance that the ground of urban macro is at 1 m",
          {metres("d2D", "distance along the ground", 10, 5000), hUt},
          "chance",
          "1",
          note},
         environmentChance},
        {{"uma_los_mean",
          "Urban macro, with sight, to an upper floor",
          {frequency(0.5, 100), metres("d2D", "distance along the ground", 10, 5000),
           withDefault(metres("hBS", "base station above the ground", 25, 25), "25"), hUt},
          "mean of the medians",
          "dB",
          note},
         tall},
        {{"rma_los", "Rural macro, with sight", ruralInputs(10000), "median path loss", "dB",
          "3GPP TR 38.901, Table 7.4.1-1"},
         ruralSight},
        {{"rma_nlos", "Rural macro, without sight", ruralInputs(5000), "median path loss", "dB",
          "3GPP TR 38.901, Table 7.4.1-1"},
         ruralNoSight},
    };
    for (auto* group : {&wallModels, &shadowingModels}) {
        auto some = group();
        std::move(some.begin(), some.end(), std::back_inserter(out));
    }
    return out;
}

} // namespace fw::calc
