// SPDX-License-Identifier: GPL-3.0-or-later
// The printed coefficients of Rec. ITU-R P.838-3.
#pragma once

#include <array>

namespace fw {

/// sum of a exp(-((log10 f - b) / c)^2) + slope log10 f + offset; terms not printed are 0.
struct RainFit {
    struct Term {
        double a = 0, b = 0, c = 1;
    };
    std::array<Term, 5> terms;
    double slope = 0, offset = 0;
};
struct RainFits {
    RainFit logKh, logKv, alphaH, alphaV;
};
/// Source: Rec. ITU-R P.838-3, Tables 1 to 4.
const RainFits& rainFits();

} // namespace fw
