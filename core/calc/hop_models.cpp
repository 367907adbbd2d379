// SPDX-License-Identifier: GPL-3.0-or-later
// Radio hops of a backhaul after P.530: rain, availability, clearance, clear-air fading.
#include "calc/models.h"
#include "radio/clear_air_hop.h"
#include "radio/free_space.h"
#include "radio/gas.h"
#include "radio/knife_edge.h"
#include "radio/link_budget.h"
#include "radio/rain_hop.h"

namespace fw::calc {
namespace {

RainLaw hopLawOf(const Given& in) { return rainLaw(hertz(in), 0, in.choice("pol") == "V" ? 90 : 0); }
RainScaling scalingOf(const Given& in) {
    return rainScaling(hertz(in), in.choice("reading") == "power_of_log" ? RainReading::powerOfLog
                                                                         : RainReading::logOfPower);
}

void remarkReading(const Given& in, Working& out) {
    if (in.number("f_GHz") > 10)
        out.remarks.emplace_back("C0 is read in two ways; log_of_power gives the greater attenuation.");
}

Db rain001(const Given& in, Working& out) {
    const double km = in.number("d_km"), rate = in.number("R001_mm_h");
    const RainLaw law = hopLawOf(in);
    step(out, "k", "P.838, for this polarisation", law.k, "1");
    step(out, "alpha", "P.838, for this polarisation", law.alpha, "1");
    step(out, "specific attenuation at this rate, gamma", "k R^alpha", rainAttenuationDbPerKm(law, rate),
         "dB/km");
    step(out, "distance factor",
         "1 / (0.477 d^0.633 R^(0.073 alpha) f^0.123 - 10.579 (1 - exp(-0.024 d))), at most 2.5",
         rainDistanceFactor(km, hertz(in), law, rate), "1");
    const Db exceeded = rainExceeded001(km, hertz(in), law, rate);
    step(out, "rain exceeded 0.01 % of the year", "gamma d r", exceeded.v, "dB");
    return exceeded;
}

Status distanceFactor(const Given& in, Working& out) {
    step(out, "alpha", "P.838, for this polarisation", hopLawOf(in).alpha, "1");
    step(out, "distance factor",
         "1 / (0.477 d^0.633 R^(0.073 alpha) f^0.123 - 10.579 (1 - exp(-0.024 d))), at most 2.5",
         rainDistanceFactor(in.number("d_km"), hertz(in), hopLawOf(in), in.number("R001_mm_h")), "1");
    return Done{};
}

void c0Step(const Given& in, Working& out, const RainScaling& s) {
    step(out, "C0",
         in.number("f_GHz") <= 10                 ? "0.12, to 10 GHz"
         : in.choice("reading") == "power_of_log" ? "0.12 + 0.4 (log10(f_GHz / 10))^0.8"
                                                  : "0.12 + 0.4 log10((f_GHz / 10)^0.8)",
         s.c0, "1");
}
void scalingSteps(const Given& in, Working& out) {
    const RainScaling s = scalingOf(in);
    c0Step(in, out, s);
    step(out, "C1", "0.07^C0 0.12^(1 - C0)", s.c1, "1");
    step(out, "C2", "0.855 C0 + 0.546 (1 - C0)", s.c2, "1");
    step(out, "C3", "0.139 C0 + 0.043 (1 - C0)", s.c3, "1");
}

Status rain(const Given& in, Working& out) {
    const Db exceeded = rain001(in, out);
    if (in.number("p_pct") == 0.01) return Done{};
    const double ratio = rainRatio(scalingOf(in), in.number("p_pct"));
    scalingSteps(in, out);
    step(out, "ratio to that of 0.01 %", "C1 p^-(C2 + C3 log10 p)", ratio, "1");
    step(out, "rain exceeded this share of the year", "rain exceeded 0.01 % times the ratio",
         exceeded.v * ratio, "dB");
    remarkReading(in, out);
    return Done{};
}

Status scaling(const Given& in, Working& out) {
    const RainScaling s = scalingOf(in);
    const std::string& which = in.choice("coefficient");
    c0Step(in, out, s);
    if (which == "C1") step(out, "C1", "0.07^C0 0.12^(1 - C0)", s.c1, "1");
    if (which == "C2") step(out, "C2", "0.855 C0 + 0.546 (1 - C0)", s.c2, "1");
    if (which == "C3") step(out, "C3", "0.139 C0 + 0.043 (1 - C0)", s.c3, "1");
    remarkReading(in, out);
    return Done{};
}

Status ratio(const Given& in, Working& out) {
    scalingSteps(in, out);
    step(out, "ratio to that of 0.01 %", "C1 p^-(C2 + C3 log10 p)",
         rainRatio(scalingOf(in), in.number("p_pct")), "1");
    remarkReading(in, out);
    return Done{};
}

// Loss and noise of a hop in clear air; what is left over what the receiver needs.
double clearMargin(const Given& in, Working& out) {
    const double km = in.number("d_km");
    const Db free = freeSpaceLoss(km * 1000.0, hertz(in));
    const double gas = gasAttenuation(hertz(in)).totalDbPerKm() * km;
    const Dbm received = Dbm{in.number("EIRP_dBm")} + Db{in.number("Grx_dBi")} - free - Db{gas};
    const Dbm noise = thermalNoise(in.number("BW_Hz"), {in.number("NF_dB")});
    const double margin = (received - noise).v - in.number("required_SNR_dB");
    step(out, "free-space loss", "20 log10(4 pi d / lambda)", free.v, "dB");
    step(out, "specific attenuation by gases", "P.676, usual air", gasAttenuation(hertz(in)).totalDbPerKm(),
         "dB/km");
    step(out, "gases", "specific attenuation times d", gas, "dB");
    step(out, "received in clear air", "EIRP + G_rx - free space - gases", received.v, "dBm");
    step(out, "noise", "-174 + 10 log10 B + NF", noise.v, "dBm");
    step(out, "margin", "received - noise - required SNR", margin, "dB");
    return margin;
}

// Drops the steps after the one asked for, which is the result.
void endAt(Working& out, const std::string& what) {
    while (out.steps.size() > 1 && out.steps.back().what != what) out.steps.pop_back();
}

Status hop(const Given& in, Working& out) {
    const double margin = clearMargin(in, out);
    const Db exceeded = rain001(in, out);
    const RainOutage outage = rainOutage(exceeded, margin, scalingOf(in));
    scalingSteps(in, out);
    step(out, "rain outage",
         "p with rain exceeded 0.01 % times C1 p^-(C2 + C3 log10 p) = margin; 0.001 to 1 %", outage.percent,
         "%");
    step(out, "availability", "100 % less the outage", 100.0 - outage.percent, "%");
    if (outage.range == Range::below)
        out.remarks.emplace_back("The outage is below 0.001 %, where the method ends; this is the bound.");
    if (outage.range == Range::above)
        out.remarks.emplace_back("The outage is above 1 %, where the method ends; this is the bound.");
    remarkReading(in, out);
    const std::string& result = in.choice("result");
    endAt(out, result == "received" ? "received in clear air"
               : result == "rain"   ? "rain exceeded 0.01 % of the year"
               : result == "outage" ? "rain outage"
                                    : result);
    return Done{};
}

Status clearance(const Given& in, Working& out) {
    const double d1 = in.number("d_km") * 1000.0 * in.number("at"), d2 = in.number("d_km") * 1000.0 - d1;
    step(out, "room needed", "0.6 x 17.3 sqrt(d1 d2 / (f d)), d in km", hopClearanceM(d1, d2, hertz(in)),
         "m");
    return Done{};
}

Status obstruction(const Given& in, Working& out) {
    const double f1 = fresnelRadiusM(1, in.number("d1_m"), in.number("d2_m"), wavelengthM(hertz(in)));
    step(out, "first Fresnel radius", "sqrt(lambda d1 d2 / (d1 + d2))", f1, "m");
    step(out, "path above the obstacle", "h = (h / F1) F1", in.number("h_over_F1") * f1, "m");
    const double loss = hopObstructionLoss(in.number("h_over_F1")).v;
    step(out, "diffraction over average terrain", "10 - 20 h / F1", loss, "dB");
    if (loss < 15) out.remarks.emplace_back("The rule is meant for losses above about 15 dB.");
    return Done{};
}

Status multipath(const Given& in, Working& out) {
    const MultipathHop hop{in.number("K"), in.number("d_km"), in.number("ep_mrad"), in.number("hL_masl")};
    step(out, "share of the worst month", "K d^3.4 (1 + ep)^-1.03 f^0.8 10^(-0.00076 hL - A / 10)",
         multipathFadePercent(hop, hertz(in), {in.number("A_dB")}), "%");
    return Done{};
}

Status geoclimatic(const Given& in, Working& out) {
    step(out, "geoclimatic factor", "10^(-4.4 - 0.0027 dN1) (10 + sa)^-0.46",
         geoclimaticFactor(in.number("dN1"), in.number("sa_m")), "1");
    return Done{};
}

Status longFades(const Given& in, Working& out) {
    step(out, "fades of 10 s or longer", "1 + 1313 p^0.945", longFadesPerYear(in.number("p_pct")),
         "events/year");
    return Done{};
}

InputInfo hopFrequency() { return bounded(frequency(1, 100), 0.1, 1e4); }
InputInfo hopLength() { return bounded(kilometres("d", "length of the hop", 0, 60), 1e-6, 1e5); }
InputInfo shareOfYear(const char* what) {
    return bounded(stated(positive("p_pct", what, "%"), 0.001, 1), 1e-7, 100);
}
InputInfo reading() { return oneOf("reading", "how C0 is read", {"log_of_power", "power_of_log"}); }
InputInfo rainRate() {
    return bounded(positive("R001_mm_h", "rain rate exceeded 0.01 % of the year", "mm/h"), 1e-3, 1000);
}
InputInfo polarisation() { return oneOf("pol", "polarisation", {"H", "V"}); }

std::vector<Model> rainOnHop() {
    const InputInfo f = hopFrequency();
    return {
        {{"p530_distance_factor",
          "Distance factor of rain on a hop",
          {hopLength(), f, rainRate(), polarisation()},
          "factor",
          "1",
          "Rec. ITU-R P.530-18, 2.4.1, eq. (32)"},
         distanceFactor},
        {{"p530_rain",
          "Rain on a hop, exceeded a share of the year",
          {hopLength(), f, rainRate(), polarisation(), withDefault(shareOfYear("share of the year"), "0.01"),
           reading()},
          "attenuation",
          "dB",
          "Rec. ITU-R P.530-18, 2.4.1, eq. (32) to (35); Rec. ITU-R P.838-3"},
         rain},
        {{"p530_rain_coefficient",
          "Coefficient of the scaling of rain to a share of the year",
          {f, oneOf("coefficient", "which one", {"C0", "C1", "C2", "C3"}), reading()},
          "coefficient",
          "1",
          "Rec. ITU-R P.530-18, 2.4.1, eq. (35a) to (35d)"},
         scaling},
        {{"p530_rain_ratio",
          "Rain exceeded a share of the year over that of 0.01 %",
          {f, shareOfYear("share of the year"), reading()},
          "ratio",
          "1",
          "Rec. ITU-R P.530-18, 2.4.1, eq. (34)"},
         ratio},
        {{"p530_hop",
          "Availability of a radio hop in rain",
          {f, hopLength(), decibelInput("EIRP_dBm", "radiated power", "dBm"),
           decibelInput("Grx_dBi", "gain of the receiving antenna", "dBi"),
           positive("BW_Hz", "bandwidth", "Hz"),
           withDefault(decibelInput("NF_dB", "noise figure", "dB"), "8"),
           decibelInput("required_SNR_dB", "signal over noise the receiver needs", "dB"), rainRate(),
           polarisation(), reading(),
           oneOf("result", "where to end",
                 {"availability", "outage", "rain", "margin", "received", "noise", "gases"})},
          "availability, or what `result` says",
          "",
          "Rec. ITU-R P.525-5, P.676-13, P.838-3, P.530-18, 2.4.1"},
         hop},
    };
}

} // namespace

std::vector<Model> hopModels() {
    const InputInfo f = hopFrequency();
    const InputInfo at =
        between(withDefault(positive("at", "where along the hop, as a share of it", ""), "0.5"), 0, 1, 1e-6);
    std::vector<Model> out = rainOnHop();
    const std::vector<Model> clear = {
        {{"p530_clearance",
          "Room to keep free about a hop's line",
          {hopLength(), f, at},
          "room",
          "m",
          "Rec. ITU-R P.530, 2.2.2"},
         clearance},
        {{"p530_obstruction",
          "Diffraction on a hop over average terrain",
          {metres("d1", "one end to the obstacle", 0, kAny),
           metres("d2", "the obstacle to the other end", 0, kAny), f,
           plain("h_over_F1", "path above the obstacle in first Fresnel radii", "")},
          "loss",
          "dB",
          "Rec. ITU-R P.530, 2.2.1, eq. (3)"},
         obstruction},
        {{"p530_multipath",
          "Fading by several paths on a long hop",
          {positive("K", "geoclimatic factor", ""),
           bounded(kilometres("d", "length of the hop", 5, kAny), 1e-3, 1e4),
           bounded(withDefault(plain("ep_mrad", "slope of the path", "mrad"), "0"), -1500, 1500), f,
           bounded(withDefault(plain("hL_masl", "lower antenna above sea level", "m"), "0"), -500, 9000),
           decibelInput("A_dB", "depth of the fade", "dB")},
          "share of the worst month",
          "%",
          "Rec. ITU-R P.530-17, 2.3.1, eq. (7)"},
         multipath},
        {{"p530_geoclimatic",
          "Geoclimatic factor",
          {bounded(plain("dN1", "refractivity gradient not exceeded 1 % of the year, N-units/km", ""), -1500,
                   1000),
           bounded(plain("sa_m", "roughness of the terrain", "m"), 0, 5000)},
          "factor",
          "1",
          "Rec. ITU-R P.530-17, 2.3.1, eq. (4)"},
         geoclimatic},
        {{"p530_long_fades",
          "Fades of 10 s or longer by rain",
          {shareOfYear("share of the year that their depth is exceeded")},
          "fades",
          "events/year",
          "Rec. ITU-R P.530, eq. (78)"},
         longFades},
    };
    out.insert(out.end(), clear.begin(), clear.end());
    return out;
}

} // namespace fw::calc
