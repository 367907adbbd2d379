// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/models.h"
#include "radio/antenna.h"
#include "radio/tilted.h"

namespace fw::calc {
namespace {

Status horizontal(const Given& in, Working& out) {
    const Pattern p(ParabolicCuts{0, in.number("phi3dB_deg"), 10, in.number("Am_dB"), in.number("Am_dB")});
    const double off = wrap180(in.number("phi_deg") - in.number("boresight_deg"));
    step(out, "azimuth off boresight", "phi - boresight, the short way round", off, "deg");
    step(out, "relative gain", "-min(12 (phi / phi3dB)^2, Am)", p.gain(off, 0, 0, 0).v, "dB");
    return Done{};
}

Status vertical(const Given& in, Working& out) {
    const Pattern p(
        ParabolicCuts{0, 65, in.number("theta3dB_deg"), in.number("SLAv_dB"), in.number("SLAv_dB")});
    step(out, "angle below the beam", "theta - etilt", in.number("theta_deg") - in.number("etilt_deg"),
         "deg");
    step(out, "relative gain", "-min(12 ((theta - etilt) / theta3dB)^2, SLAv)",
         p.gain(0, -in.number("theta_deg"), 0, in.number("etilt_deg")).v, "dB");
    return Done{};
}

// A_H and A_V of a direction: each cut alone, the other at its peak.
void cutSteps(Working& out, const ParabolicCuts& cuts, const SeenDirection& seen, double etilt,
              const char* horizontalFormula, const char* verticalFormula) {
    ParabolicCuts across = cuts, down = cuts;
    across.gainDbi = down.gainDbi = 0;
    down.frontBackDb = down.sideLobeDb; // the vertical cut alone ends at its own bound
    step(out, "A_H", horizontalFormula, Pattern(across).gain(seen.azimuthDeg, 0, 0, 0).v, "dB");
    step(out, "A_V", verticalFormula, Pattern(down).gain(0, seen.elevationDeg, 0, etilt).v, "dB");
}

Status combined(const Given& in, Working& out) {
    const ParabolicCuts cuts{0, in.number("phi3dB_deg"), in.number("theta3dB_deg"), in.number("Am_dB"),
                             in.number("SLAv_dB")};
    const double phi = in.number("phi_deg"), up = -in.number("theta_deg"), mtilt = in.number("mtilt_deg");
    const SeenDirection seen = seenFromTilted(phi, up, mtilt);
    if (mtilt != 0) {
        step(out, "azimuth as the tilted antenna sees it",
             "atan2(cos e sin phi, cos t cos e cos phi - sin t sin e), "
             "e = -theta, t = mtilt",
             seen.azimuthDeg, "deg");
        step(out, "angle below its own horizon", "-asin(sin t cos e cos phi + cos t sin e)",
             -seen.elevationDeg, "deg");
    }
    cutSteps(out, cuts, seen, in.number("etilt_deg"), "-min(12 (phi / phi3dB)^2, Am)",
             "-min(12 ((theta - etilt) / theta3dB)^2, SLAv)");
    step(out, "relative gain", "-min(-(A_H + A_V), Am)",
         Pattern(cuts).gain(phi, up, mtilt, in.number("etilt_deg")).v, "dB");
    return Done{};
}

Status element(const Given& in, Working& out) {
    const ParabolicCuts cuts{8, 65, 65, 30, 30};
    const double phi = in.number("phi_deg"), up = 90.0 - in.number("zenith_deg");
    cutSteps(out, cuts, {phi, up}, 0, "-min(12 (phi / 65)^2, 30)", "-min(12 ((zenith - 90) / 65)^2, 30)");
    step(out, "element gain", "8 - min(-(A_H + A_V), 30)", Pattern(cuts).gain(phi, up, 0, 0).v, "dBi");
    return Done{};
}

Status depression(const Given& in, Working& out) {
    step(out, "angle below the horizon", "atan(dh / d2D)",
         depressionDeg(in.number("d2D_m"), in.number("dh_m")), "deg");
    return Done{};
}

Status beamReach(const Given& in, Working& out) {
    const std::string& edge = in.choice("edge");
    const double half = in.number("vbeam_deg") / 2.0;
    const double down = in.number("tilt_deg") + (edge == "upper" ? -half : edge == "lower" ? half : 0.0);
    step(out, "angle below the horizon", "tilt, less or more half the beam", down, "deg");
    const auto reach = rayReachM(in.number("hb_m"), in.number("hm_m"), down);
    if (!reach) return Error{ErrorCode::badInput, "this ray never comes down to that height."};
    step(out, "ground distance", "(hb - hm) / tan(angle)", *reach, "m");
    return Done{};
}

InputInfo angle(const char* name, const char* what, const char* fallback = "") {
    InputInfo in = withDefault(plain(name, what, "deg"), fallback);
    in.least = -720;
    in.most = 720;
    return in;
}
} // namespace

std::vector<Model> antennaModels() {
    constexpr const char* k36814 = "3GPP TR 36.814, Table A.2.1.1-2";
    const InputInfo phi = angle("phi_deg", "azimuth");
    const InputInfo theta = bounded(angle("theta_deg", "angle below the horizon", "0"), -90, 90);
    const InputInfo etilt = bounded(angle("etilt_deg", "electrical tilt, down", "0"), -90, 90);
    const InputInfo mtilt = bounded(angle("mtilt_deg", "mechanical tilt, down", "0"), -90, 90);
    const InputInfo phi3 = withDefault(positive("phi3dB_deg", "half-power width, horizontal", "deg"), "70");
    const InputInfo theta3 = withDefault(positive("theta3dB_deg", "half-power width, vertical", "deg"), "10");
    const InputInfo am = withDefault(positive("Am_dB", "bound on the loss", "dB"), "25");
    const InputInfo slav = withDefault(positive("SLAv_dB", "bound on the vertical loss", "dB"), "20");
    return {
        {{"antenna_horizontal",
          "Parabolic pattern, horizontal cut",
          {phi, withDefault(angle("boresight_deg", "azimuth of the boresight"), "0"), phi3, am},
          "relative gain",
          "dB",
          k36814},
         horizontal},
        {{"antenna_vertical",
          "Parabolic pattern, vertical cut",
          {theta, etilt, theta3, slav},
          "relative gain",
          "dB",
          k36814},
         vertical},
        {{"antenna_combined",
          "Parabolic pattern in three dimensions",
          {phi, theta, etilt, mtilt, phi3, theta3, am, slav},
          "relative gain",
          "dB",
          k36814},
         combined},
        {{"antenna_element",
          "Antenna element of 3GPP",
          {phi, bounded(angle("zenith_deg", "zenith angle; 90 is the horizon", "90"), 0, 180)},
          "gain",
          "dBi",
          "3GPP TR 38.901, Table 7.3-1"},
         element},
        {{"depression",
          "Angle down from an antenna to a point",
          {metres("d2D", "ground distance", 0, kAny), plain("dh_m", "antenna above the point", "m")},
          "angle",
          "deg",
          "geometry"},
         depression},
        {{"beam_reach",
          "Where a tilted beam meets a height",
          {plain("hb_m", "antenna above the ground", "m"),
           withDefault(plain("hm_m", "height to meet", "m"), "1.5"),
           bounded(angle("tilt_deg", "tilt, down"), -90, 90),
           bounded(withDefault(positive("vbeam_deg", "half-power width, vertical", "deg"), "10"), 0, 180),
           oneOf("edge", "which ray of the beam", {"centre", "upper", "lower"})},
          "ground distance",
          "m",
          "geometry"},
         beamReach},
    };
}

} // namespace fw::calc
