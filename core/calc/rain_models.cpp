// SPDX-License-Identifier: GPL-3.0-or-later
// Attenuation by rain and by the gases of the air.
#include "calc/models.h"
#include "radio/gas.h"
#include "radio/rain.h"

namespace fw::calc {
namespace {

RainLaw lawOf(const Given& in) {
    return rainLaw(hertz(in), in.number("elevation_deg"), in.number("tilt_deg"));
}

// A sum over tables of up to five bells, too long for a line.
constexpr const char* kLogK = "10^(sum of a exp(-((log10 f - b) / c)^2) + m log10 f + c), Tables 1 and 2";
constexpr const char* kSum = "sum of a exp(-((log10 f - b) / c)^2) + m log10 f + c, Tables 3 and 4";

void lawSteps(const Given& in, Working& out) {
    const auto [h, v] = rainPolarisations(hertz(in));
    step(out, "k, horizontal", kLogK, h.k, "1");
    step(out, "k, vertical", kLogK, v.k, "1");
    step(out, "alpha, horizontal", kSum, h.alpha, "1");
    step(out, "alpha, vertical", kSum, v.alpha, "1");
    step(out, "k", "[kH + kV + (kH - kV) cos^2 e cos 2 tau] / 2", lawOf(in).k, "1");
    step(out, "alpha", "[kH aH + kV aV + (kH aH - kV aV) cos^2 e cos 2 tau] / (2 k)", lawOf(in).alpha, "1");
}

Status coefficient(const Given& in, Working& out) {
    lawSteps(in, out);
    if (in.choice("coefficient") == "k") out.steps.pop_back();
    return Done{};
}

Status attenuation(const Given& in, Working& out) {
    lawSteps(in, out);
    step(out, "specific attenuation", "k R^alpha", rainAttenuationDbPerKm(lawOf(in), in.number("R_mm_h")),
         "dB/km");
    return Done{};
}

Status gas(const Given& in, Working& out) {
    const GasAttenuation a =
        gasAttenuation(hertz(in), {in.number("P_dry_hPa"), in.number("T_K"), in.number("rho_g_m3")});
    const std::string& part = in.choice("part");
    if (part != "water")
        step(out, "oxygen", "0.1820 f N''(f), 44 lines and the dry continuum", a.oxygenDbPerKm, "dB/km");
    if (part != "oxygen") step(out, "water vapour", "0.1820 f N''(f), 35 lines", a.waterDbPerKm, "dB/km");
    if (part == "total")
        step(out, "specific attenuation", "oxygen + water vapour", a.totalDbPerKm(), "dB/km");
    return Done{};
}

} // namespace

std::vector<Model> rainModels() {
    const InputInfo f = bounded(frequency(1, 1000), 1e-3, 1e5);
    const InputInfo elevation =
        bounded(withDefault(plain("elevation_deg", "elevation of the path", "deg"), "0"), -90, 90);
    const InputInfo tilt = bounded(
        withDefault(plain("tilt_deg", "polarisation: 0 horizontal, 45 circular, 90 vertical", "deg"), "0"),
        -360, 360);
    const InputInfo rate = bounded(stated(positive("R_mm_h", "rain rate", "mm/h"), 0, 200), 1e-6, 2000);
    return {
        {{"p838_coefficient",
          "Coefficient of the specific attenuation by rain",
          {f, elevation, tilt, oneOf("coefficient", "which one", {"k", "alpha"})},
          "coefficient",
          "1",
          "Rec. ITU-R P.838-3, eq. (2) to (5), Tables 1 to 4"},
         coefficient},
        {{"p838_attenuation",
          "Specific attenuation by rain",
          {f, rate, elevation, tilt},
          "attenuation",
          "dB/km",
          "Rec. ITU-R P.838-3, eq. (1) to (5), Tables 1 to 4"},
         attenuation},
        {{"p676_attenuation",
          "Specific attenuation by the gases of the air",
          {f,
           bounded(withDefault(positive("P_dry_hPa", "pressure of the dry air", "hPa"), "1013.25"), 1e-3,
                   2000),
           bounded(withDefault(positive("T_K", "temperature", "K"), "288.15"), 100, 400),
           bounded(withDefault(plain("rho_g_m3", "water vapour", "g/m3"), "7.5"), 0, 100),
           oneOf("part", "of which gas", {"total", "oxygen", "water"})},
          "attenuation",
          "dB/km",
          "Rec. ITU-R P.676-13, Annex 1, eq. (1) to (9), line by line"},
         gas},
    };
}

} // namespace fw::calc
