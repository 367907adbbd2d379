// SPDX-License-Identifier: GPL-3.0-or-later
// An antenna as people look at it: its two principal cuts as they hang, and what is read off them.
#pragma once

#include "base/working.h"
#include "plan/plan.h"
#include "radio/antenna.h"

#include <array>
#include <optional>
#include <string>

namespace fw {

/// A radio's or a sector's antenna with its tilts.
struct HungAntenna {
    std::string name;        ///< of the radio or sector
    std::string patternName; ///< of the measured antenna; empty: the parabolic cuts
    Pattern pattern;
    double mechanicalTiltDeg = 0, electricalTiltDeg = 0; ///< down positive
};
/// The pattern that the study computes a radio, a sector, or what hangs on one (a small cell, a cell) with;
/// none for other items. A radio's tilt is mechanical.
std::optional<HungAntenna> hungAntenna(const Plan& plan, ItemId item);
HungAntenna hungAntenna(const Plan& plan, const Radio& radio);
HungAntenna hungAntenna(const Plan& plan, const Sector& sector);

/// Losses below the peak (dB, >= 0) in steps of a degree, and what is read off them.
struct AntennaCuts {
    /// By azimuth clockwise off boresight, round the antenna along the plane of its beam: tilts do not show.
    std::array<double, 360> horizontal{};
    /// By angle below the horizon in front (90 straight down, 180 the horizon behind), as it hangs, and as it
    /// would without tilt.
    std::array<double, 360> vertical{}, untilted{};
    Beamwidths halfPower;
    double frontToBackDb = 0; ///< peak over the strongest within 30 deg of straight behind
    double ownTiltDeg = 0;    ///< down positive: what a measured cut contains
    double tiltDeg = 0;       ///< of the beam: that, mechanical and electrical together
    double gainDbi = 0;
};
AntennaCuts cutsOf(const HungAntenna& antenna);

Working workingOfHalfPower(const HungAntenna& antenna, bool horizontal);
Working workingOfFrontToBack(const HungAntenna& antenna);

} // namespace fw
