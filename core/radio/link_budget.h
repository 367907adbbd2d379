// SPDX-License-Identifier: GPL-3.0-or-later
// Powers per resource element, and noise.
#pragma once

#include "base/units.h"

namespace fw {

/// Power of one resource element when the whole power is spread evenly over all 12 N of a symbol.
/// @param resourceBlocks  N >= 1. Source: 3GPP TS 36.214, 5.1.1: P - 10 log10(12 N).
Dbm powerPerResourceElement(Dbm total, int resourceBlocks);

/// Reference-signal power per resource element of one port, when only the carrier's total power over all
/// ports is known. @param ports  antenna ports the total is shared by, >= 1. Source: 3GPP TS 36.214, 5.1.1,
/// with an even split over the ports (common practice).
Dbm referenceSignalPerPort(Dbm total, int resourceBlocks, int ports);

/// Reference-signal received power: transmitted per resource element and port, plus the antenna's gain, minus
/// the path loss. Source: 3GPP TS 36.214, 5.1.1 (definition).
constexpr Dbm rsrp(Dbm perResourceElement, Db antennaGain, Db pathLoss) {
    return perResourceElement + antennaGain - pathLoss;
}

/// Thermal noise density the trade computes with (dBm/Hz). Source: 3GPP TR 36.942, Table C.1.
inline constexpr double kNoiseDensityDbmPerHz = -174.0;

/// Noise power in a bandwidth: -174 + 10 log10 B + noise figure. bandwidthHz > 0.
/// Source: 3GPP TR 36.942, Table C.1 and common practice.
Dbm thermalNoise(double bandwidthHz, Db noiseFigure);

/// Noise density k T (dBm/Hz) at a temperature (K, > 0), with the exact Boltzmann constant 1.380649e-23 J/K:
/// -173.975 at 290 K.
double thermalNoiseDensityDbmPerHz(double temperatureK);

} // namespace fw
