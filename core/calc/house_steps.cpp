// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/house_steps.h"

#include "base/log_exp.h"
#include "calc/models.h"

#include <fmt/format.h>

namespace fw::calc {

void sightOverHouses(Working& out, const StreetGrid& grid, const char* name, double distanceM, bool beyond,
                     const HouseEnds& ends) {
    const auto upTo = [&](const char* what, const char* symbol, double m) {
        step(out, what,
             fmt::format("20 log10(40 pi {0} f_GHz / 3) + min(0.03 h^1.72, 10) log10 {0} - min(0.044 h^1.72, "
                         "14.77) + 0.002 log10(h) {0}",
                         symbol),
             ruralLosBeforeBreak(grid, m, ends.f).v, "dB");
    };
    if (!beyond) {
        upTo("median path loss with sight", name, distanceM);
        return;
    }
    const double breakM = ruralBreakpointM(ends.stationM, ends.terminalM, ends.f);
    upTo("loss at the breakpoint", "dBP", breakM);
    const double there = out.steps.back().value;
    step(out, "rise beyond it", fmt::format("40 log10({} / dBP)", name),
         40.0 * log10Fixed(distanceM / breakM), "dB");
    step(out, "median path loss with sight", "loss at the breakpoint + rise beyond it",
         there + out.steps.back().value, "dB");
}

} // namespace fw::calc
