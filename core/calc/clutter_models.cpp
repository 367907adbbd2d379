// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/log_exp.h"
#include "calc/models.h"
#include "radio/clutter_loss.h"
#include "radio/knife_edge.h"

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
    const double low = in.number("h_m"), street = in.number("ws_m");
    if (low < height && open)
        step(out, "K_h2", "21.8 + 6.2 log10 f_GHz", 21.8 + 6.2 * log10Fixed(in.number("f_GHz")), "dB");
    if (low < height && !open) {
        const ClutterEdge edge = terminalClutterEdge(hertz(in), low, height, street);
        step(out, "angle from the clutter's top down", "atan((R - h) / ws)", edge.downDeg, "deg");
        step(out, "nu", "0.342 sqrt(f_GHz (R - h) angle), the angle in degrees", edge.nu, "1");
        step(out, "J(nu)", "6.9 + 20 log10(sqrt((nu - 0.1)^2 + 1) + nu - 0.1); 0 for nu <= -0.78",
             knifeEdgeLoss(edge.nu).v, "dB");
    }
    step(out, "loss down to the terminal",
         low >= height ? "0 at the clutter's height and above"
         : open        ? "-K_h2 log10(h / R)"
                       : "J(nu) - 6.03",
         terminalClutterLoss(kindOf(in), hertz(in), low, height, street).v, "dB");
    remarkUse(out);
    return Done{};
}

Status terrestrial(const Given& in, Working& out) {
    const TerrestrialClutter r =
        terrestrialClutterSteps(hertz(in), in.number("d_km") * 1000.0, in.number("p_pct") / 100.0);
    step(out, "distance that counts", "that of the path, at most 2 km where its loss binds",
         r.distanceM / 1000.0, "km");
    step(out, "Ll", "-2 log10(10^(-5 log10 f_GHz - 12.5) + 10^-16.5)", r.lowDb, "dB");
    step(out, "Ls", "32.98 + 23.9 log10 d_km + 3 log10 f_GHz", r.farDb, "dB");
    step(out, "median", "-5 log10(10^(-0.2 Ll) + 10^(-0.2 Ls))", r.medianDb, "dB");
    step(out, "spread, sigma", "sqrt((4^2 10^(-0.2 Ll) + 6^2 10^(-0.2 Ls)) / (10^(-0.2 Ll) + 10^(-0.2 Ls)))",
         r.spreadDb, "dB");
    step(out, "quantile of the standard normal", "F^-1(p)", r.quantile, "1");
    step(out, "loss not exceeded at this share of places", "median + sigma F^-1(p)", r.total.v, "dB");
    remarkUse(out);
    return Done{};
}

Status slant(const Given& in, Working& out) {
    const SlantClutter r = slantClutterSteps(hertz(in), in.number("theta_deg"), in.number("p_pct") / 100.0);
    step(out, "K1", "93 f_GHz^0.175", r.k1, "1");
    step(out, "angle", "180 / pi 0.05 (1 - e / 90) + e, e = theta", r.angleDeg, "deg");
    step(out, "base", "-K1 ln(1 - p) cot(angle)", r.base, "1");
    step(out, "exponent", "(90 - e) / 180", r.exponent, "1");
    step(out, "quantile of the standard normal", "F^-1(p)", r.quantile, "1");
    step(out, "loss not exceeded at this share of places", "base^exponent - 1 + 0.6 F^-1(p)", r.total.v,
         "dB");
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
