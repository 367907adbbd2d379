// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/models.h"
#include "radio/building_entry.h"
#include "radio/free_space.h"
#include "radio/low_terminal.h"
#include "radio/over_rooftop.h"

namespace fw::calc {
namespace {

LowTerminalArea areaOf(const Given& in) {
    const std::string& area = in.choice("area");
    return area == "urban"         ? LowTerminalArea::urban
           : area == "dense_urban" ? LowTerminalArea::denseUrban
                                   : LowTerminalArea::suburban;
}

Status lowTerminal(const Given& in, Working& out) {
    const double d = in.number("d_m"), p = in.number("p_pct") / 100.0;
    step(out, "reach of sight", "212 log10(p)^2 - 64 log10(p); 79.2 - 70 p from p = 0.45",
         lowTerminalSightM(p), "m");
    step(out, "loss with sight",
         "32.45 + 20 log10 f_MHz + 20 log10 d_km + 1.5624 x 7 (sqrt(-2 ln(1 - p)) - 1.1774)",
         lowTerminalLos(d, hertz(in), p).v, "dB");
    step(out, "quantile of the standard normal", "F^-1(p)", normalQuantile(p), "1");
    step(out, "L_area", "suburban 0, urban 6.8, dense urban 2.3", lowTerminalAreaDb(areaOf(in)), "dB");
    step(out, "loss without sight", "9.5 + 45 log10 f_MHz + 40 log10 d_km + L_area + 7 F^-1(p)",
         lowTerminalNlos(areaOf(in), d, hertz(in), p).v, "dB");
    const double near = lowTerminalSightM(p), far = near + in.number("w_m");
    const bool between = d > near && d < far;
    if (between) {
        step(out, "loss with sight at its reach", "the loss with sight, d = d_s",
             lowTerminalLos(near, hertz(in), p).v, "dB");
        step(out, "loss without sight from where it holds", "the loss without sight, d = d_s + w",
             lowTerminalNlos(areaOf(in), far, hertz(in), p).v, "dB");
    }
    step(out, "loss not exceeded at this share of places",
         between     ? "straight line from the one at d_s to the other at d_s + w"
         : d <= near ? "that with sight, up to its reach d_s"
                     : "that without sight, from d_s + w",
         lowTerminalLoss(areaOf(in), d, hertz(in), p, in.number("w_m")).v, "dB");
    return Done{};
}

// The terms of the law for many rows, or the field that few rows leave.
void rowSteps(Working& out, const RoofRows& town, const OverRooftop& r, double station, double f) {
    const double over = station - town.roofM;
    const RowTerms& t = r.terms;
    if (!t.many) {
        step(out, "field on the last roof, Q_M",
             over >= 1.0 ? "2.35 ((h1 - hr) / d sqrt(b / lambda))^0.9"
             : over <= -1.0
                 ? "b / (2 pi d) sqrt(lambda / rho) (1 / t - 1 / (2 pi + t)), t = atan((h1 - hr) / b), "
                   "rho = sqrt((h1 - hr)^2 + b^2)"
                 : "b / d",
             t.field, "1");
        step(out, "over few rows, l up to d_s", "-10 log10 Q_M^2", r.rows.v, "dB");
        return;
    }
    const bool above = over > 0, high = f > 2.0;
    step(out, "L_bsh", above ? "-18 log10(1 + h1 - hr)" : "0, station not above the roofs", t.height.v, "dB");
    step(out, "ka",
         above ? (high ? "71.4" : "54")
               : (high ? "73 - 0.8 (h1 - hr), nearer than 500 m - 1.6 (h1 - hr) d_km"
                       : "54 - 0.8 (h1 - hr), nearer than 500 m - 1.6 (h1 - hr) d_km"),
         t.ka, "dB");
    step(out, "kd", above ? "18" : "18 - 15 (h1 - hr) / hr", t.kd, "dB");
    step(out, "kf",
         high                ? "-8"
         : town.metropolitan ? "-4 + 1.5 (f_MHz / 925 - 1)"
                             : "-4 + 0.7 (f_MHz / 925 - 1)",
         t.kf, "dB");
    step(out, "over many rows, l above d_s", "L_bsh + ka + kd log10 d_km + kf log10 f_MHz - 9 log10 b",
         r.rows.v, "dB");
}

Status overRooftop(const Given& in, Working& out) {
    const double station = in.number("h1_m"), terminal = in.number("h2_m"), d = in.number("d3D_m");
    const RoofRows town{in.number("hr_m"), in.number("w_m"),     in.number("b_m"),
                        in.number("l_m"),  in.number("phi_deg"), in.choice("town") == "metropolitan"};
    if (terminal >= town.roofM) return Error{ErrorCode::badInput, "h2_m must be below the roofs hr_m."};
    const OverRooftop r = overRooftopLoss(town, d, station, terminal, hertz(in));
    step(out, "free-space loss", "32.4 + 20 log10 d_km + 20 log10 f_MHz", r.freeSpace.v, "dB");
    step(out, "street against the path, L_ori",
         town.orientationDeg < 35   ? "-10 + 0.354 phi"
         : town.orientationDeg < 55 ? "2.5 + 0.075 (phi - 35)"
                                    : "4 - 0.114 (phi - 55)",
         r.orientation.v, "dB");
    step(out, "roof to street", "-8.2 - 10 log10 w + 10 log10 f_MHz + 20 log10(hr - h2) + L_ori",
         r.roofToStreet.v, "dB");
    step(out, "wavelength", "c / f", wavelengthM(hertz(in)), "m");
    if (station != town.roofM)
        step(out, "rows from which their number no longer matters, d_s", "lambda d^2 / (h1 - hr)^2",
             r.settledM, "m");
    rowSteps(out, town, r, station, in.number("f_GHz"));
    step(out, "loss", "free space + max(0, roof to street + over the rows)", r.total.v, "dB");
    const double f = in.number("f_GHz");
    if (!town.metropolitan && f >= 0.8 && f < 2.0) remarkRange(out, "f_GHz", f, "GHz", 2.0, 26.0);
    if (station <= town.roofM && f > 2.0 && town.lengthM > r.settledM)
        out.remarks.emplace_back("Below the roofs and above 2 GHz a constant is from memory.");
    return Done{};
}

InputInfo heightOf(const char* stem, const char* what, double low, double high) {
    InputInfo h = metres(stem, what, low, high);
    h.most = 1e5; // beyond any height; keeps sums of heights exact
    return h;
}

Model overRooftopModel() {
    InputInfo phi = withDefault(plain("phi_deg", "street against the path", "deg"), "45");
    phi.least = 0;
    phi.most = 90;
    return {{"p1411_over_rooftop",
             "Over rows of roofs into a street",
             {frequency(0.8, 26), metres("d3D", "distance in space", 20, 5000),
              heightOf("h1", "station above the ground", 4, 55),
              heightOf("h2", "terminal above the ground", 1, 3),
              heightOf("hr", "roofs above the ground", 0, kAny),
              withDefault(heightOf("w", "width of the street", 0, kAny), "20"),
              withDefault(heightOf("b", "from row to row", 0, kAny), "50"),
              withDefault(heightOf("l", "length of the path with rows under it", 0, kAny), "80"), phi,
              oneOf("town", "kind of town", {"metropolitan", "medium"})},
             "loss",
             "dB",
             "Rec. ITU-R P.1411, 4.2.2.1 (range as quoted by others)"},
            overRooftop};
}

} // namespace

std::vector<Model> shortRangeModels() {
    return {
        {{"p1411_low_terminal",
          "Between two terminals 1.9 to 3 m above the ground",
          {frequency(0.3, 3), metres("d", "distance", 0, kAny),
           shareOfPlaces("share of places that lose no more"),
           withDefault(heightOf("w", "width of the transition", 0, kAny), "20"),
           oneOf("area", "what they stand among", {"suburban", "urban", "dense_urban"})},
          "loss",
          "dB",
          "Rec. ITU-R P.1411-11, 4.3.1, eq. (58) to (64)"},
         lowTerminal},
        overRooftopModel(),
    };
}

} // namespace fw::calc
