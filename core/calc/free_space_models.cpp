// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/log_exp.h"
#include "calc/models.h"
#include "radio/free_space.h"

#include <algorithm>
#include <cmath>

namespace fw::calc {
namespace {

Status freeSpace(const Given& in, Working& out) {
    step(out, "wavelength", "c / f", wavelengthM(hertz(in)), "m");
    step(out, "free-space loss", "20 log10(4 pi d / lambda)", freeSpaceLoss(in.number("d_m"), hertz(in)).v,
         "dB");
    remarkNearField(out, in.number("d_m"), 0, hertz(in));
    return Done{};
}

Status freeSpaceRounded(const Given& in, Working& out) {
    const double d = in.number("d_km"), rise = (in.number("hts_masl") - in.number("hrs_masl")) / 1000.0;
    const double slant = std::sqrt(d * d + rise * rise);
    step(out, "slant distance", "sqrt(d^2 + ((hts - hrs) / 1000)^2)", slant, "km");
    step(out, "free-space loss", "92.4 + 20 log10 f_GHz + 20 log10 d_km",
         92.4 + 20.0 * log10Fixed(in.number("f_GHz")) + 20.0 * log10Fixed(slant), "dB");
    remarkNearField(out, slant * 1000.0, 0, hertz(in));
    return Done{};
}

Status friis(const Given& in, Working& out) {
    const Dbm sent{decibels(in.number("Pt_W") * 1000.0)};
    step(out, "transmitted power", "10 log10(Pt / 1 mW)", sent.v, "dBm");
    step(out, "free-space loss", "20 log10(4 pi d / lambda)", freeSpaceLoss(in.number("d_m"), hertz(in)).v,
         "dB");
    const Dbm received =
        freeSpaceReceived(sent, {in.number("Gt_dBi")}, {in.number("Gr_dBi")}, in.number("d_m"), hertz(in));
    step(out, "received power", "Pt + Gt + Gr - L", received.v, "dBm");
    step(out, "received power", "10^(P / 10) mW", powerRatio(received.v) / 1000.0, "W");
    remarkNearField(out, in.number("d_m"), std::max(in.number("Gt_dBi"), in.number("Gr_dBi")), hertz(in));
    if (received.v > sent.v)
        out.remarks.emplace_back(
            "More would be received than is sent: these gains and this distance do not go "
            "together.");
    return Done{};
}

Status fieldStrength(const Given& in, Working& out) {
    step(out, "field strength", "P - 20 log10 d_km + 74.8",
         in.number("P_dBW") - 20.0 * log10Fixed(in.number("d_km")) + 74.8, "dB(uV/m)");
    out.remarks.emplace_back(
        "The constant is from memory; compare it with the Recommendation before relying on it.");
    return Done{};
}

} // namespace

std::vector<Model> freeSpaceModels() {
    return {
        {{"free_space",
          "Free-space basic transmission loss",
          {frequency(0, kAny), metres("d", "distance between the antennas", 0, kAny)},
          "loss",
          "dB",
          "Rec. ITU-R P.525-5, eq. (4), exact speed of light"},
         freeSpace},
        {{"free_space_rounded",
          "Free-space loss with the printed constant, over the slant distance",
          {frequency(0, kAny), kilometres("d", "ground distance", 0, kAny),
           withDefault(plain("hts_masl", "height of one antenna above sea level", "m"), "0"),
           withDefault(plain("hrs_masl", "height of the other antenna above sea level", "m"), "0")},
          "loss",
          "dB",
          "Rec. ITU-R P.1812, Annex 1, eq. (8); Rec. ITU-R P.525-5 (rounded form)"},
         freeSpaceRounded},
        {{"friis",
          "Power received in free space",
          {frequency(0, kAny), metres("d", "distance between the antennas", 0, kAny),
           positive("Pt_W", "transmitted power", "W"),
           withDefault(decibelInput("Gt_dBi", "gain of the sender", "dBi"), "0"),
           withDefault(decibelInput("Gr_dBi", "gain of the receiver", "dBi"), "0")},
          "received power",
          "W",
          "Rec. ITU-R P.525-5, eq. (4), with both gains (Friis)"},
         friis},
        {{"field_strength",
          "Field strength from radiated power in free space",
          {decibelInput("P_dBW", "power radiated by an isotropic antenna", "dBW"),
           kilometres("d", "distance", 0, kAny)},
          "field strength",
          "dB(uV/m)",
          "Rec. ITU-R P.525 (constant from memory)"},
         fieldStrength},
    };
}

} // namespace fw::calc
