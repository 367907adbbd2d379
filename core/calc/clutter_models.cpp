// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/models.h"
#include "radio/building_entry.h"
#include "radio/clutter_loss.h"

#include <array>
#include <utility>

namespace fw::calc {
namespace {

constexpr std::array kKinds{
    std::pair{"urban", ClutterKind::urban}, std::pair{"suburban", ClutterKind::suburban},
    std::pair{"dense", ClutterKind::dense}, std::pair{"trees", ClutterKind::trees},
    std::pair{"rural", ClutterKind::rural}, std::pair{"water", ClutterKind::water}};

ClutterKind kindOf(const Given& in) {
    for (const auto& [name, kind] : kKinds)
        if (in.choice("clutter") == name) return kind;
    return ClutterKind::urban;
}

void remarkUse(Working& out) {
    out.remarks.emplace_back("Not to be added to losses that hold clutter already: P.1411, 3GPP, Hata.");
}

Status terminal(const Given& in, Working& out) {
    const double height = in.number("R_m");
    step(out, "height of such clutter when unknown", "table", usualClutterHeightM(kindOf(in)), "m");
    const bool open = kindOf(in) == ClutterKind::water || kindOf(in) == ClutterKind::rural;
    step(out, "loss down to the terminal",
         open ? "-(21.8 + 6.2 log10 f_GHz) log10(h / R)"
              : "J(0.342 sqrt(f_GHz (R - h) atan((R - h) / ws))) - 6.03, the angle in degrees",
         terminalClutterLoss(kindOf(in), hertz(in), in.number("h_m"), height, in.number("ws_m")).v, "dB");
    remarkUse(out);
    return Done{};
}

Status terrestrial(const Given& in, Working& out) {
    const double share = in.number("p_pct") / 100.0;
    step(out, "quantile of the standard normal", "F^-1(p)", normalQuantile(share), "1");
    step(out, "loss not exceeded at this share of places",
         "-5 log10(10^(-0.2 Ll) + 10^(-0.2 Ls)) + sigma F^-1(p); at most as at 2 km",
         terrestrialClutterLoss(hertz(in), in.number("d_km") * 1000.0, share).v, "dB");
    remarkUse(out);
    return Done{};
}

Status slant(const Given& in, Working& out) {
    const double share = in.number("p_pct") / 100.0;
    step(out, "quantile of the standard normal", "F^-1(p)", normalQuantile(share), "1");
    step(out, "loss not exceeded at this share of places",
         "[-93 f^0.175 ln(1 - p) cot(0.05 (1 - e / 90) + pi e / 180)]^((90 - e) / 180) - 1 + 0.6 F^-1(p)",
         slantClutterLoss(hertz(in), in.number("theta_deg"), share).v, "dB");
    return Done{};
}

} // namespace

std::vector<Model> clutterModels() {
    std::vector<std::string> kinds;
    kinds.reserve(kKinds.size());
    for (const auto& [name, kind] : kKinds) kinds.emplace_back(name);
    InputInfo theta = plain("theta_deg", "elevation of the path", "deg");
    theta.least = 0;
    theta.most = 90;
    return {
        {{"p2108_terminal",
          "Clutter above a terminal, height gain",
          {frequency(0.03, 3), metres("h", "terminal above the ground", 0, kAny),
           metres("R", "height of the clutter", 0, kAny),
           withDefault(metres("ws", "width of the street", 0, kAny), "27"),
           oneOf("clutter", "what stands there", kinds)},
          "loss",
          "dB",
          "Rec. ITU-R P.2108-1, 3.1, eq. (2a) to (2g)"},
         terminal},
        {{"p2108_terrestrial",
          "Clutter about one end of a terrestrial path, statistical",
          {frequency(0.5, 67), kilometres("d", "length of the path", 0.25, kAny),
           shareOfPlaces("share of places that lose no more")},
          "loss",
          "dB",
          "Rec. ITU-R P.2108-1, 3.2, eq. (3a) to (6)"},
         terrestrial},
        {{"p2108_slant",
          "Clutter on a slant path, statistical",
          {frequency(10, 100), theta, shareOfPlaces("share of places that lose no more")},
          "loss",
          "dB",
          "Rec. ITU-R P.2108-1, 3.3, eq. (7)"},
         slant},
    };
}

} // namespace fw::calc
