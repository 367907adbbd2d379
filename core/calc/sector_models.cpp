// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/models.h"
#include "radio/sector_pattern.h"

namespace fw::calc {
namespace {

Status beamwidth(const Given& in, Working& out) {
    step(out, "half-power width in elevation", "31000 10^(-G0 / 10) / phi3",
         sectorBeamwidthDeg(in.number("G0_dBi"), in.number("phi3_deg")), "deg");
    return Done{};
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
    step(out, "gain", "G0 + G_hr(phi / phi3) + R(phi) G_vr(theta / theta3)",
         sectorGainTilted(p, phi, theta, in.number("mtilt_deg"), in.number("etilt_deg")).v, "dBi");
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
