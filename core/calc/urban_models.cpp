// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/models.h"
#include "radio/urban_macro.h"
#include "radio/urban_micro.h"

#include <string>

namespace fw::calc {
namespace {

constexpr const char* kTable = "3GPP TR 38.901, Table 7.4.1-1";

using PathLoss = Db (*)(double, double, double, Hertz);

struct Urban {
    PathLoss sight;
    const char* before; ///< the loss with sight up to the breakpoint
    const char* beyond;
    PathLoss line = nullptr; ///< without sight: what is held above the loss with sight
    const char* lineFormula = "";
    PathLoss noSight = nullptr;
};

Status pathLoss(const Given& in, Working& out, const Urban& model) {
    const double d2d = in.number("d2D_m"), hBs = in.number("hBS_m"), hUt = in.number("hUT_m");
    const double breakM = breakpointM(hBs, hUt, hertz(in));
    const bool beyond = breakM > 0 && d2d > breakM;
    step(out, "distance in space", "sqrt(d2D^2 + (hBS - hUT)^2), d2D at least 1 m",
         distance3dM(d2d, hBs, hUt), "m");
    step(out, "breakpoint", "4 (hBS - 1)(hUT - 1) f / 3.0e8", breakM, "m");
    const std::string sight = model.noSight ? "path loss with sight" : "median path loss";
    step(out, sight + (beyond ? ", beyond the breakpoint" : ", up to the breakpoint"),
         beyond ? model.beyond : model.before, model.sight(d2d, hBs, hUt, hertz(in)).v, "dB");
    if (model.noSight) {
        step(out, "line without sight", model.lineFormula, model.line(d2d, hBs, hUt, hertz(in)).v, "dB");
        step(out, "median path loss", "the greater of the path loss with sight and the line without",
             model.noSight(d2d, hBs, hUt, hertz(in)).v, "dB");
    }
    if (hUt > 13)
        out.remarks.emplace_back(
            "Above 13 m the source draws the environment height at random; 1 m is used.");
    return Done{};
}

constexpr Urban kMacroLos{&umaLos, "28.0 + 22 log10 d3D + 20 log10 f_GHz",
                          "28.0 + 40 log10 d3D + 20 log10 f_GHz - 9 log10(dBP^2 + (hBS - hUT)^2)"};
constexpr Urban kMacroNlos{kMacroLos.sight,
                           kMacroLos.before,
                           kMacroLos.beyond,
                           &umaNlosLine,
                           "13.54 + 39.08 log10 d3D + 20 log10 f_GHz - 0.6 (hUT - 1.5)",
                           &umaNlos};
constexpr Urban kMicroLos{&umiLos, "32.4 + 21 log10 d3D + 20 log10 f_GHz",
                          "32.4 + 40 log10 d3D + 20 log10 f_GHz - 9.5 log10(dBP^2 + (hBS - hUT)^2)"};
constexpr Urban kMicroNlos{kMicroLos.sight,
                           kMicroLos.before,
                           kMicroLos.beyond,
                           &umiNlosLine,
                           "22.4 + 35.3 log10 d3D + 21.3 log10 f_GHz - 0.3 (hUT - 1.5)",
                           &umiNlos};

Status macroLos(const Given& in, Working& out) { return pathLoss(in, out, kMacroLos); }
Status macroNlos(const Given& in, Working& out) { return pathLoss(in, out, kMacroNlos); }
Status microLos(const Given& in, Working& out) { return pathLoss(in, out, kMicroLos); }
Status microNlos(const Given& in, Working& out) { return pathLoss(in, out, kMicroNlos); }

Status breakpoint(const Given& in, Working& out) {
    step(out, "breakpoint", "4 (hBS - 1)(hUT - 1) f / 3.0e8",
         breakpointM(in.number("hBS_m"), in.number("hUT_m"), {in.number("f_GHz") * 1e9}), "m");
    return Done{};
}

Status macroSight(const Given& in, Working& out) {
    const double d = in.number("d2D_out_m"), hUt = in.number("hUT_m");
    step(out, "chance for a terminal up to 13 m", "18/d + exp(-d/63)(1 - 18/d); 1 up to 18 m",
         umaSightChance(d, 0), "1");
    step(out, "taller terminal, C'(hUT)", "((min(hUT, 23) - 13) / 10)^1.5; 0 up to 13 m", umaTallFactor(hUt),
         "1");
    step(out, "chance of sight", "chance up to 13 m times [1 + C' 5/4 (d/100)^3 exp(-d/150)]; 1 up to 18 m",
         umaSightChance(d, hUt), "1");
    return Done{};
}
Status microSight(const Given& in, Working& out) {
    step(out, "chance of sight", "18/d + exp(-d/36)(1 - 18/d); 1 up to 18 m",
         umiSightChance(in.number("d2D_out_m")), "1");
    return Done{};
}

std::vector<InputInfo> pathInputs(double stationM, const char* stationText) {
    return {frequency(0.5, 100), metres("d2D", "distance along the ground", 10, 5000),
            withDefault(metres("hBS", "base station above the ground", stationM, stationM), stationText),
            withDefault(metres("hUT", "terminal above the ground", 1.5, 22.5), "1.5")};
}

} // namespace

std::vector<Model> urbanModels() {
    const auto macro = pathInputs(25, "25"), micro = pathInputs(10, "10");
    const InputInfo outdoors = metres("d2D_out", "distance along the ground, outdoors", 0, 5000);
    return {
        {{"uma_los", "Urban macro, with sight", macro, "median path loss", "dB", kTable}, macroLos},
        {{"uma_nlos", "Urban macro, without sight", macro, "median path loss", "dB", kTable}, macroNlos},
        {{"umi_los", "Urban micro street canyon, with sight", micro, "median path loss", "dB", kTable},
         microLos},
        {{"umi_nlos", "Urban micro street canyon, without sight", micro, "median path loss", "dB", kTable},
         microNlos},
        {{"tr38901_breakpoint",
          "Breakpoint distance of urban macro and micro",
          {frequency(0.5, 100), metres("hBS", "base station above the ground", 0, kAny),
           withDefault(metres("hUT", "terminal above the ground", 1.5, 22.5), "1.5")},
          "breakpoint",
          "m",
          "3GPP TR 38.901, Table 7.4.1-1, note 1"},
         breakpoint},
        {{"uma_los_probability",
          "Chance of sight, urban macro",
          {outdoors, withDefault(metres("hUT", "terminal above the ground", 1.5, 23), "1.5")},
          "chance",
          "1",
          "3GPP TR 38.901, Table 7.4.2-1"},
         macroSight},
        {{"umi_los_probability",
          "Chance of sight, urban micro street canyon",
          {outdoors},
          "chance",
          "1",
          "3GPP TR 38.901, Table 7.4.2-1"},
         microSight},
    };
}

} // namespace fw::calc
