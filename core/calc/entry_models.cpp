// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/models.h"
#include "radio/building_entry.h"

namespace fw::calc {
namespace {

constexpr const char* kFormula = "10 log10(10^(A/10) + 10^(B/10) + 10^(-3/10))";

EntryClass classOf(const Given& in) {
    return in.choice("cls") == "traditional" ? EntryClass::traditional : EntryClass::efficient;
}

Status loss(const Given& in, Working& out) {
    const double p = in.number("p_pct") / 100.0;
    step(out, "quantile of the standard normal", "F^-1(p)", normalQuantile(p), "1");
    step(out, "median for horizontal incidence", "r + s log10 f_GHz + t (log10 f_GHz)^2",
         entryLossHorizontalMedian(classOf(in), hertz(in)).v, "dB");
    step(out, "entry loss not exceeded with this probability", kFormula,
         entryLoss(classOf(in), hertz(in), in.number("theta_deg"), p).v, "dB");
    return Done{};
}

Status horizontalEntry(const Given& in, Working& out) {
    step(out, "median for horizontal incidence", "r + s log10 f_GHz + t (log10 f_GHz)^2",
         entryLossHorizontalMedian(classOf(in), hertz(in)).v, "dB");
    return Done{};
}

Status mix(const Given& in, Working& out) {
    const double theta = in.number("theta_deg");
    step(out, "median, traditional", kFormula, entryLoss(EntryClass::traditional, hertz(in), theta, 0.5).v,
         "dB");
    step(out, "median, thermally efficient", kFormula,
         entryLoss(EntryClass::efficient, hertz(in), theta, 0.5).v, "dB");
    step(out, "median of the mixture", "loss L with (1 - s) P_t(L) + s P_e(L) = 1/2",
         entryLossMedianMix(hertz(in), theta, in.number("share")).v, "dB");
    out.remarks.emplace_back("The share of thermally efficient buildings is the planner's judgement.");
    return Done{};
}

} // namespace

std::vector<Model> entryModels() {
    constexpr const char* kSource = "Rec. ITU-R P.2109-1, section 3, eq. (1) to (10), Table 1";
    const InputInfo f = frequency(0.08, 100);
    InputInfo theta = withDefault(plain("theta_deg", "elevation of the path at the facade", "deg"), "0");
    theta.least = -90;
    theta.most = 90;
    InputInfo p = withDefault(positive("p_pct", "probability that the loss is not exceeded", "%"), "50");
    p.least = 1e-7; // where the inverse normal is still good
    p.most = 100.0 - 1e-7;
    InputInfo share = withDefault(plain("share", "share of thermally efficient buildings", ""), "0.3");
    share.least = 0;
    share.most = 1;
    const InputInfo cls = oneOf("cls", "class of building", {"traditional", "thermally_efficient"});
    return {
        {{"p2109_entry_loss", "Building entry loss", {f, theta, p, cls}, "loss", "dB", kSource}, loss},
        {{"p2109_horizontal_median",
          "Median entry loss for horizontal incidence",
          {f, cls},
          "loss",
          "dB",
          "Rec. ITU-R P.2109-1, section 3, eq. (9)"},
         horizontalEntry},
        {{"p2109_mix_median",
          "Median entry loss for a building of unknown class",
          {f, theta, share},
          "loss",
          "dB",
          "Rec. ITU-R P.2109-1, section 3, for both classes; the mixture is our own"},
         mix},
    };
}

} // namespace fw::calc
