// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/models.h"
#include "radio/building_entry.h"

namespace fw::calc {
namespace {

constexpr const char* kFormula = "10 log10(10^(A/10) + 10^(B/10) + 10^(-3/10))";

constexpr const char* kMedian = "p2109_entry_loss at 50 %";

EntryClass classOf(const Given& in) {
    return in.choice("cls") == "traditional" ? EntryClass::traditional : EntryClass::efficient;
}

// The median for horizontal incidence with its coefficients.
void horizontalSteps(Working& out, EntryClass cls, Db median) {
    step(out, "median for horizontal incidence, L_h",
         cls == EntryClass::efficient ? "28.19 - 3 log10 f_GHz + 8.48 (log10 f_GHz)^2"
                                      : "12.64 + 3.72 log10 f_GHz + 0.96 (log10 f_GHz)^2",
         median.v, "dB");
}

// All of one class but its result.
void classSteps(Working& out, EntryClass cls, const EntryLoss& r) {
    const bool efficient = cls == EntryClass::efficient;
    horizontalSteps(out, cls, r.horizontal);
    step(out, "correction for elevation, L_e", "0.212 |theta|", r.elevation.v, "dB");
    step(out, "mu1", "L_h + L_e", r.mu1, "dB");
    step(out, "sigma1", efficient ? "13.5 + 3.8 log10 f_GHz" : "9.6 + 2 log10 f_GHz", r.sigma1, "dB");
    step(out, "mu2", efficient ? "27.8 - 2.9 log10 f_GHz" : "9.1 - 3 log10 f_GHz", r.mu2, "dB");
    step(out, "sigma2", efficient ? "9.4 - 2.1 log10 f_GHz" : "4.5 - 2 log10 f_GHz", r.sigma2, "dB");
    step(out, "A", "mu1 + sigma1 F^-1(p)", r.a, "dB");
    step(out, "B", "mu2 + sigma2 F^-1(p)", r.b, "dB");
}

Status loss(const Given& in, Working& out) {
    const EntryLoss r =
        entryLossSteps(classOf(in), hertz(in), in.number("theta_deg"), in.number("p_pct") / 100.0);
    step(out, "quantile of the standard normal", "F^-1(p)", r.quantile, "1");
    classSteps(out, classOf(in), r);
    step(out, "entry loss not exceeded with this probability", kFormula, r.total.v, "dB");
    return Done{};
}

Status horizontalEntry(const Given& in, Working& out) {
    horizontalSteps(out, classOf(in), entryLossHorizontalMedian(classOf(in), hertz(in)));
    return Done{};
}

Status mix(const Given& in, Working& out) {
    const double theta = in.number("theta_deg");
    step(out, "median, traditional", kMedian, entryLoss(EntryClass::traditional, hertz(in), theta, 0.5).v,
         "dB");
    step(out, "median, thermally efficient", kMedian,
         entryLoss(EntryClass::efficient, hertz(in), theta, 0.5).v, "dB");
    const double mixed = entryLossMedianMix(hertz(in), theta, in.number("share")).v;
    step(out, "traditional ones that lose no more than the result, P_t",
         "p for which p2109_entry_loss gives it",
         entryLossProbability(EntryClass::traditional, hertz(in), theta, mixed), "1");
    step(out, "efficient ones that lose no more than the result, P_e",
         "p for which p2109_entry_loss gives it",
         entryLossProbability(EntryClass::efficient, hertz(in), theta, mixed), "1");
    step(out, "median of the mixture", "loss L with (1 - s) P_t(L) + s P_e(L) = 1/2", mixed, "dB");
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
    const InputInfo p = shareOfPlaces("probability that the loss is not exceeded");
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
