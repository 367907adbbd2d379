// SPDX-License-Identifier: GPL-3.0-or-later
// Older losses of macro cells: Hata's family, Report M.2135 and the straight lines of TR 36.814.
#include "base/log_exp.h"
#include "calc/house_steps.h"
#include "calc/models.h"
#include "radio/hata.h"
#include "radio/rural_macro.h"
#include "radio/urban_macro.h"

namespace fw::calc {
namespace {

void terminalStep(Working& out, HataCity city, double hm, Hertz f, const char* formula) {
    step(out, "terminal's height, a(hm)", formula, hataTerminalGain(city, hm, f).v, "dB");
}

void distanceStep(Working& out, double km, double hb) {
    step(out, "rise by distance", "(44.9 - 6.55 log10 hb) log10 d_km",
         (44.9 - 6.55 * log10Fixed(hb)) * log10Fixed(km), "dB");
}

Status hata(const Given& in, Working& out) {
    const HataCity city = in.choice("city") == "large" ? HataCity::large : HataCity::smallOrMedium;
    const std::string& area = in.choice("area");
    const double km = in.number("d_km"), hb = in.number("hb_m"), hm = in.number("hm_m");
    const bool low = in.number("f_GHz") < 0.3;
    terminalStep(out, city, hm, hertz(in),
                 city == HataCity::smallOrMedium ? "(1.1 log10 f_MHz - 0.7) hm - (1.56 log10 f_MHz - 0.8)"
                 : low                           ? "8.29 log10(1.54 hm)^2 - 1.1"
                                                 : "3.2 log10(11.75 hm)^2 - 4.97");
    distanceStep(out, km, hb);
    const double urban = hataLoss(city, HataArea::urban, km, hb, hm, hertz(in)).v;
    step(out, "loss in a town", "69.55 + 26.16 log10 f_MHz - 13.82 log10 hb - a(hm) + the rise by distance",
         urban, "dB");
    if (area == "suburban")
        step(out, "loss in suburbs", "loss in a town - 2 log10(f_MHz / 28)^2 - 5.4",
             hataLoss(city, HataArea::suburban, km, hb, hm, hertz(in)).v, "dB");
    if (area == "open")
        step(out, "loss in the open", "loss in a town - 4.78 log10(f_MHz)^2 + 18.33 log10 f_MHz - 40.94",
             hataLoss(city, HataArea::open, km, hb, hm, hertz(in)).v, "dB");
    return Done{};
}

Status costHata(const Given& in, Working& out) {
    terminalStep(out, HataCity::smallOrMedium, in.number("hm_m"), hertz(in),
                 "(1.1 log10 f_MHz - 0.7) hm - (1.56 log10 f_MHz - 0.8)");
    distanceStep(out, in.number("d_km"), in.number("hb_m"));
    step(out, "loss", "46.3 + 33.9 log10 f_MHz - 13.82 log10 hb - a(hm) + the rise by distance + Cm",
         costHataLoss(in.number("Cm_dB"), in.number("d_km"), in.number("hb_m"), in.number("hm_m"), hertz(in))
             .v,
         "dB");
    return Done{};
}

Status macroLine(const Given& in, Working& out) {
    step(out, "path loss", "128.1 + 37.6 log10 R_km", macroLineLoss(in.number("R_km")).v, "dB");
    return Done{};
}
Status picoLine(const Given& in, Working& out) {
    step(out, "path loss", "140.7 + 36.7 log10 R_km", picoLineLoss(in.number("R_km")).v, "dB");
    return Done{};
}

Status urbanLos(const Given& in, Working& out) {
    const double d = in.number("d_m"), hBs = in.number("hBS_m"), hMs = in.number("hMS_m");
    const double breakM = breakpointM(hBs, hMs, hertz(in));
    step(out, "breakpoint", "4 (hBS - 1)(hMS - 1) f / 3.0e8", breakM, "m");
    step(out, breakM > 0 && d > breakM ? "path loss beyond the breakpoint" : "path loss up to the breakpoint",
         breakM > 0 && d > breakM ? "40 log10 d + 7.8 - 18 log10(hBS - 1) - 18 log10(hMS - 1) + 2 log10 f_GHz"
                                  : "22 log10 d + 28 + 20 log10 f_GHz",
         m2135UrbanLos(d, hBs, hMs, hertz(in)).v, "dB");
    return Done{};
}

Status suburbanLos(const Given& in, Working& out) {
    const double d = in.number("d_m"), hBs = in.number("hBS_m"), hMs = in.number("hMS_m");
    const double breakM = ruralBreakpointM(hBs, hMs, hertz(in));
    step(out, "breakpoint", "2 pi hBS hMS f / 3.0e8", breakM, "m");
    sightOverHouses(out, {in.number("h_m"), in.number("W_m")}, "d", d, d > breakM, {hBs, hMs, hertz(in)});
    return Done{};
}

Status noSight(const Given& in, Working& out) {
    step(out, "path loss",
         "161.04 - 7.1 log10 W + 7.5 log10 h - (24.37 - 3.7 (h / hBS)^2) log10 hBS + (43.42 - 3.1 log10 "
         "hBS)(log10 d - 3) + 20 log10 f - 3.2 log10(11.75 hMS)^2 + 4.97",
         m2135Nlos({in.number("h_m"), in.number("W_m")}, in.number("d_m"), in.number("hBS_m"),
                   in.number("hMS_m"), hertz(in))
             .v,
         "dB");
    return Done{};
}

std::vector<InputInfo> hataInputs(double lowGHz, double highGHz) {
    return {frequency(lowGHz, highGHz), kilometres("d", "distance", 1, 20),
            metres("hb", "station above the ground", 30, 200),
            withDefault(metres("hm", "terminal above the ground", 1, 10), "1.5")};
}

std::vector<Model> reportModels() {
    const char* const source = "Report ITU-R M.2135-1, Table A1-2";
    const std::vector<InputInfo> path = {
        frequency(2, 6), metres("d", "distance", 10, 5000),
        withDefault(metres("hBS", "station above the ground", 25, 35), "25"),
        withDefault(metres("hMS", "terminal above the ground", 1.5, 1.5), "1.5")};
    std::vector<InputInfo> grid = path;
    grid.push_back(withDefault(metres("h", "average height of the buildings", 5, 50), "20"));
    grid.push_back(withDefault(metres("W", "average width of the streets", 5, 50), "20"));
    return {
        {{"m2135_uma_los", "Urban macro of M.2135, with sight", path, "path loss", "dB", source}, urbanLos},
        {{"m2135_sma_los", "Suburban macro of M.2135, with sight", grid, "path loss", "dB", source},
         suburbanLos},
        {{"m2135_nlos", "Urban or suburban macro of M.2135, without sight", grid, "path loss", "dB", source},
         noSight},
    };
}

} // namespace

std::vector<Model> hataModels() {
    std::vector<InputInfo> okumura = hataInputs(0.15, 1.5), cost = hataInputs(1.5, 2.0);
    okumura.push_back(oneOf("city", "size of the city", {"small", "large"}));
    okumura.push_back(oneOf("area", "kind of ground", {"urban", "suburban", "open"}));
    cost.push_back(
        withDefault(stated(decibelInput("Cm_dB", "3 in metropolitan centres, else 0", "dB"), 0, 3), "0"));
    const InputInfo r = kilometres("R", "distance", 0, kAny);
    std::vector<Model> out = {
        {{"okumura_hata", "Okumura-Hata", okumura, "loss", "dB",
          "M. Hata, IEEE Trans. VT-29 (1980), pp. 317-325; Rec. ITU-R P.529"},
         hata},
        {{"cost231_hata", "COST 231-Hata", cost, "loss", "dB", "COST 231 final report, 4.4, eq. (4.4.3)"},
         costHata},
        {{"tr36814_macro",
          "Macro cell at 2 GHz, straight line",
          {r},
          "path loss",
          "dB",
          "3GPP TR 36.814, Table A.2.1.1.2-3, model 1"},
         macroLine},
        {{"tr36814_pico",
          "Pico cell at 2 GHz, straight line",
          {r},
          "path loss",
          "dB",
          "3GPP TR 36.814, Table A.2.1.1.2-3, model 1"},
         picoLine},
    };
    for (Model& m : reportModels()) out.push_back(std::move(m));
    return out;
}

} // namespace fw::calc
