// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/models.h"
#include "radio/cell_offset.h"

#include <cstdint>

namespace fw::calc {
namespace {

Status growth(const Given& in, Working& out) {
    step(out, "times farther", "10^(bias / (10 n))", rangeGrowth({in.number("bias_dB")}, in.number("n")),
         "1");
    return Done{};
}

Status offset(const Given& in, Working& out) {
    const double wanted = in.number("value_dB"), allowed = nearestCellOffset({wanted}).v;
    step(out, "nearest allowed offset", "-24, -22 ... -6, -5 ... 5, 6, 8 ... 24", allowed, "dB");
    if (allowed != wanted)
        out.remarks.emplace_back("The wanted value is not one of those that can be signalled.");
    return Done{};
}

Status blockUse(const Given& in, Working& out) {
    step(out, "blocks in use", "floor(100 used / available)",
         static_cast<double>(blockUsePercent(static_cast<std::int64_t>(in.number("PRBs_used")),
                                             static_cast<std::int64_t>(in.number("PRBs_available")))),
         "%");
    if (in.number("PRBs_used") > in.number("PRBs_available"))
        out.remarks.emplace_back("More blocks are in use than there are.");
    return Done{};
}

} // namespace

std::vector<Model> smallCellModels() {
    InputInfo slope = withDefault(positive("n", "loss rises by 10 n dB a decade of distance", ""), "3.53");
    slope.least = 0.5;
    slope.most = 20;
    InputInfo bias = decibelInput("bias_dB", "bias", "dB");
    bias.least = -100;
    bias.most = 100;
    return {
        {{"range_growth",
          "How much farther a small cell is chosen with a bias",
          {bias, slope},
          "growth",
          "1",
          "log-distance law at equal biased levels"},
         growth},
        {{"cell_individual_offset",
          "Offset of a cell that can be signalled",
          {stated(decibelInput("value_dB", "wanted offset", "dB"), -24, 24)},
          "offset",
          "dB",
          "3GPP TS 36.331, Q-OffsetRange"},
         offset},
        {{"prb_usage",
          "Resource blocks in use",
          {wholeNumber("PRBs_used", "blocks used in a period", 0, 1e12),
           wholeNumber("PRBs_available", "blocks there were in it", 1, 1e12)},
          "share",
          "%",
          "3GPP TS 36.314, 4.1.1.1 (clause from memory)"},
         blockUse},
    };
}

} // namespace fw::calc
