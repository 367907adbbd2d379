// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/log_exp.h"
#include "calc/models.h"
#include "radio/compose.h"
#include "radio/free_space.h"
#include "radio/link_budget.h"
#include "radio/throughput.h"

#include <algorithm>

namespace fw::calc {
namespace {

Status elementPower(const Given& in, Working& out) {
    step(out, "power per resource element", "P - 10 log10(12 N_RB)",
         powerPerResourceElement({in.number("P_total_dBm")}, in.whole("N_RB")).v, "dBm/RE");
    return Done{};
}

Status perPort(const Given& in, Working& out) {
    if (auto each = elementPower(in, out); !each) return each;
    step(out, "reference signal of one port", "P - 10 log10(12 N_RB) - 10 log10 ports",
         referenceSignalPerPort({in.number("P_total_dBm")}, in.whole("N_RB"), in.whole("ports")).v, "dBm/RE");
    return Done{};
}

Status received(const Given& in, Working& out) {
    if (auto each = elementPower(in, out); !each) return each;
    const Dbm each{out.steps.back().value};
    const Db loss = freeSpaceLoss(in.number("d_m"), {in.number("f_GHz") * 1e9});
    step(out, "free-space loss", "20 log10(4 pi d / lambda)", loss.v, "dB");
    step(out, "RSRP", "power per element + G - L", rsrp(each, {in.number("G_dBi")}, loss).v, "dBm");
    remarkNearField(out, in.number("d_m"), in.number("G_dBi"), hertz(in));
    return Done{};
}

Status noise(const Given& in, Working& out) {
    step(out, "noise power", "-174 + 10 log10 B + NF",
         thermalNoise(in.number("B_Hz"), {in.number("NF_dB")}).v, "dBm");
    return Done{};
}

Status density(const Given& in, Working& out) {
    step(out, "noise density", "10 log10(k T 1000)", thermalNoiseDensityDbmPerHz(in.number("T_K")), "dBm/Hz");
    return Done{};
}

Status usualDensity(const Given&, Working& out) {
    step(out, "noise density", "constant", kNoiseDensityDbmPerHz, "dBm/Hz");
    return Done{};
}

Status throughput(const Given& in, Working& out) {
    const AttenuatedShannon link{in.number("alpha"), in.number("SNIR_min_dB"), in.number("cap")};
    const double ratio = powerRatio(in.number("SNIR_dB"));
    step(out, "SNIR as a ratio", "10^(SNIR_dB / 10)", ratio, "1");
    step(out, "share of Shannon's bound", "alpha log2(1 + SNIR)", in.number("alpha") * log2Fixed(1.0 + ratio),
         "bit/s/Hz");
    step(out, "spectral efficiency", "that share, at most the cap; 0 below SNIR_min",
         link.spectralEfficiency(in.number("SNIR_dB")), "bit/s/Hz");
    return Done{};
}

Status cqi(const Given& in, Working& out) {
    const auto table = in.choice("table") == "64QAM" ? cqiTable() : cqiTable256Qam();
    const CqiStep& s = table[static_cast<std::size_t>(in.whole("cqi") - 1)];
    step(out, "bits per symbol", "table", s.bitsPerSymbol, "bit");
    step(out, "code rate times 1024", "table", s.codeRateX1024, "1");
    step(out, "spectral efficiency", "bits x rate / 1024", s.efficiency(), "bit/s/Hz");
    return Done{};
}

Status composed(const Given& in, Working& out) {
    const bool clear = in.choice("path") == "clear";
    if (!clear) {
        step(out, "with sight, over the edge", "LOS + J", in.number("los_dB") + in.number("edge_dB"), "dB");
        step(out, "at most without sight", "min(LOS + J, NLOS)",
             std::min(out.steps.back().value, in.number("nlos_dB")), "dB");
    }
    step(out, "loss", clear ? "LOS" : "max(LOS, min(LOS + J, NLOS))",
         composeLoss({in.number("los_dB")}, {in.number("nlos_dB")}, {in.number("edge_dB")}, clear).v, "dB");
    return Done{};
}

} // namespace

std::vector<Model> linkModels() {
    const InputInfo power = decibelInput("P_total_dBm", "power of the carrier", "dBm");
    const InputInfo prb = wholeNumber("N_RB", "resource blocks", 1, 1000);
    InputInfo edge = decibelInput("edge_dB", "diffraction loss over the obstruction", "dB");
    edge.least = 0;
    return {
        {{"resource_element_power",
          "Power of a resource element",
          {power, prb},
          "power",
          "dBm/RE",
          "3GPP TS 36.214, 5.1.1"},
         elementPower},
        {{"reference_signal_power",
          "Reference-signal power of one port",
          {power, prb, withDefault(wholeNumber("ports", "antenna ports", 1, 256), "1")},
          "power",
          "dBm/RE",
          "3GPP TS 36.214, 5.1.1; even split over the ports (common practice)"},
         perPort},
        {{"rsrp_free_space",
          "Reference-signal power received in free space",
          {power, prb, frequency(0, kAny), metres("d", "distance", 0, kAny),
           withDefault(decibelInput("G_dBi", "antenna gain", "dBi"), "0")},
          "RSRP",
          "dBm",
          "3GPP TS 36.214, 5.1.1; Rec. ITU-R P.525-5, eq. (4)"},
         received},
        {{"thermal_noise",
          "Noise power of a receiver",
          {positive("B_Hz", "bandwidth", "Hz"),
           withDefault(decibelInput("NF_dB", "noise figure", "dB"), "0")},
          "noise power",
          "dBm",
          "3GPP TR 36.942, Table C.1 (density -174 dBm/Hz)"},
         noise},
        {{"noise_density",
          "Thermal noise density",
          {withDefault(positive("T_K", "temperature", "K"), "290")},
          "noise density",
          "dBm/Hz",
          "k T with the exact Boltzmann constant"},
         density},
        {{"usual_noise_density",
          "Thermal noise density as the trade rounds it",
          {},
          "noise density",
          "dBm/Hz",
          "3GPP TR 36.942, Table C.1"},
         usualDensity},
        {{"throughput",
          "Spectral efficiency from signal quality",
          {decibelInput("SNIR_dB", "signal over noise and interference", "dB"),
           withDefault(positive("alpha", "share of Shannon's bound", ""), "0.6"),
           withDefault(decibelInput("SNIR_min_dB", "least usable", "dB"), "-10"),
           withDefault(positive("cap", "most a link carries", "bit/s/Hz"), "4.4")},
          "spectral efficiency",
          "bit/s/Hz",
          "3GPP TR 36.942, Annex A.1, Table A.1"},
         throughput},
        {{"cqi_efficiency",
          "Spectral efficiency of a CQI",
          {wholeNumber("cqi", "channel quality indicator", 1, 15),
           oneOf("table", "up to which modulation", {"64QAM", "256QAM"})},
          "spectral efficiency",
          "bit/s/Hz",
          "3GPP TS 36.213, Tables 7.2.3-1 and 7.2.3-2"},
         cqi},
        {{"composed_loss",
          "Path loss with the obstruction the surface shows",
          {decibelInput("los_dB", "loss of the model with sight", "dB"),
           decibelInput("nlos_dB", "loss of the model without", "dB"), edge,
           oneOf("path", "what the surface shows", {"obstructed", "clear"})},
          "loss",
          "dB",
          "own composition of a model's two losses with Rec. ITU-R P.526-16, 4.1"},
         composed},
    };
}

} // namespace fw::calc
