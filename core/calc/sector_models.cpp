// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/models.h"
#include "radio/sector_pattern.h"

#include <fmt/format.h>
#include <string>

namespace fw::calc {
namespace {

Status beamwidth(const Given& in, Working& out) {
    step(out, "half-power width in elevation", "31000 10^(-G0 / 10) / phi3",
         sectorBeamwidthDeg(in.number("G0_dBi"), in.number("phi3_deg")), "deg");
    return Done{};
}

// The branch of G_vr that holds at this elevation.
std::string verticalFormula(const SectorPattern& p, const SectorGain& r) {
    const int start = p.lobes == SideLobes::peak ? -12 : -15;
    switch (r.branch) {
    case SectorGain::Branch::mainLobe:
        return "-12 x^2, x = |theta| / theta3";
    case SectorGain::Branch::nearLobes:
        return fmt::format("{} + 10 log10(x^-1.5 + kv), x = |theta| / theta3", start);
    case SectorGain::Branch::farLobes:
        return fmt::format("{} + 10 log10(0.125 + kv) + C log10(4 / x), x = |theta| / theta3, C = 10 "
                           "log10[(180 / theta3)^1.5 (0.125 + kv) / (1 + 8 k)] / log10(22.5 / theta3)",
                           start);
    case SectorGain::Branch::behind:
        break;
    }
    return "G180, from 90 deg on";
}

Status gain(const Given& in, Working& out) {
    SectorPattern p{in.number("G0_dBi"), in.number("phi3_deg"), in.number("theta3_deg")};
    p.lobes = in.choice("lobes") == "average" ? SideLobes::average : SideLobes::peak;
    p.k = in.number("k");
    p.kh = in.number("kh");
    p.kv = in.number("kv");
    if (p.theta3Deg == 0) {
        if (auto width = beamwidth(in, out); !width) return width;
        p.theta3Deg = out.steps.back().value;
    }
    const double phi = in.number("phi_deg"), theta = in.number("theta_deg");
    const double mtilt = in.number("mtilt_deg"), etilt = in.number("etilt_deg");
    const SectorGain r = sectorGainSteps(p, phi, theta, mtilt, etilt);
    if (mtilt != 0)
        step(out, "azimuth as the tilted antenna sees it",
             "atan2(cos e sin phi, cos t cos e cos phi - sin t sin e), e = theta, t = mtilt", r.azimuthDeg,
             "deg");
    if (mtilt != 0 || etilt != 0)
        step(out, "elevation after the tilts",
             "e = asin(sin t cos theta cos phi + cos t sin theta), t = mtilt; then 90 (e + etilt) / (90 + "
             "etilt), "
             "below 0 / (90 - etilt)",
             r.elevationDeg, "deg");
    const bool peak = p.lobes == SideLobes::peak;
    step(out, "G_hr(phi / phi3)",
         "x = |phi| / phi3: -12 x^2 to 0.5, then -12 x^(2 - kh) - 3 (1 - 0.5^-kh); at least G180",
         r.horizontal.v, "dB");
    step(out, "G_hr(180 / phi3)", "the same straight behind", r.behind.v, "dB");
    step(out, "R", "(G_hr(phi / phi3) - G_hr(180 / phi3)) / (0 - G_hr(180 / phi3))", r.share, "1");
    step(out, "G180",
         peak ? "-12 + 10 log10(1 + 8 k) - 15 log10(180 / theta3)"
              : "-15 + 10 log10(1 + 8 k) - 15 log10(180 / theta3)",
         r.floor.v, "dB");
    step(out, "G_vr(theta / theta3)", verticalFormula(p, r), r.vertical.v, "dB");
    step(out, "gain", "G0 + G_hr(phi / phi3) + R G_vr(theta / theta3)", r.gain.v, "dBi");
    out.remarks.emplace_back(
        "Formulas as quoted by others; compare them with the Recommendation. Stated for 0.4 to 6 GHz.");
    return Done{};
}

} // namespace

std::vector<Model> sectorModels() {
    const InputInfo g0 = bounded(decibelInput("G0_dBi", "greatest gain", "dBi"), -10, 60);
    const InputInfo phi3 = bounded(positive("phi3_deg", "half-power width in azimuth", "deg"), 0.1, 360);
    const auto angle = [](const char* name, const char* what, double most) {
        return bounded(withDefault(plain(name, what, "deg"), "0"), -most, most);
    };
    const auto factor = [](const char* name, const char* what, const char* usual) {
        return bounded(withDefault(plain(name, what, ""), usual), 0, 1);
    };
    return {
        {{"f1336_sector",
          "Reference pattern of a sectoral antenna",
          {angle("phi_deg", "azimuth off boresight", 720), angle("theta_deg", "elevation", 90), g0, phi3,
           bounded(withDefault(plain("theta3_deg", "half-power width in elevation; 0: from the gain", "deg"),
                               "0"),
                   0, 180),
           oneOf("lobes", "what the side lobes stand for", {"peak", "average"}),
           factor("k", "kp or ka", "0.7"), factor("kh", "kh", "0.7"), factor("kv", "kv", "0.3"),
           angle("mtilt_deg", "mechanical tilt, down", 80), angle("etilt_deg", "electrical tilt, down", 80)},
          "gain",
          "dBi",
          "Rec. ITU-R F.1336-5, recommends 3.1.1, 3.1.2, 3.4, 3.5"},
         gain},
        {{"f1336_beamwidth",
          "Half-power width in elevation from gain and azimuth width",
          {g0, phi3},
          "width",
          "deg",
          "Rec. ITU-R F.1336-5, recommends 3.3"},
         beamwidth},
    };
}

} // namespace fw::calc
