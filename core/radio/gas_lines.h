// SPDX-License-Identifier: GPL-3.0-or-later
// The printed spectroscopic lines of Rec. ITU-R P.676-13.
#pragma once

#include <span>

namespace fw {

/// A line and its six printed coefficients (a1 to a6 of oxygen, b1 to b6 of water vapour).
struct GasLine {
    double ghz = 0;
    double c1 = 0, c2 = 0, c3 = 0, c4 = 0, c5 = 0, c6 = 0;
};
/// Ascending by frequency; 44 and 35 lines. Source: Rec. ITU-R P.676-13, Annex 1, Tables 1 and 2.
std::span<const GasLine> oxygenLines();
std::span<const GasLine> waterLines();

} // namespace fw
