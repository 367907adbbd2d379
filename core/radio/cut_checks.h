// SPDX-License-Identifier: GPL-3.0-or-later
// Measured cuts looked over before a plan takes them.
#pragma once

#include "plan/items.h"

#include <string>
#include <vector>

namespace fw {

struct CutVerdict {
    std::string refused;           ///< why the cuts cannot be used; empty: they can
    std::vector<std::string> said; ///< what was settled, and what looks doubtful, a sentence each
};

/// Brings the cuts of one antenna into the plan's form and says what was done. A column that is nowhere above
/// 0 holds gains below the peak and is turned round; what is lost at the very peak is taken off all of a cut.
/// Refused: losses both below and above 0; values that are greatest in front and least behind, which are
/// gains in dBi; an angle that comes twice, a whole turn apart too, with values more than 0.05 dB apart.
/// Doubtful: gaps of more than 30 deg (upright only in front), a peak more than 5 deg beside boresight across
/// or more than 15 deg off the horizon, sides that differ by more than 3 dB on average within 90 deg, cuts
/// that disagree by more than 3 dB about straight behind. Limits are our own judgement.
CutVerdict settleCuts(AntennaCut& cut);

} // namespace fw
