// SPDX-License-Identifier: GPL-3.0-or-later
// Plain geometry behind the rules, free of plans and studies.
#pragma once

#include "base/units.h"
#include "surface/skyline.h"

#include <span>

namespace fw {

/// Angle between a boresight and a bearing (deg, 0..180).
double offBoresightDeg(GridAzimuth boresight, GridAzimuth bearing);
/// Whether a bearing lies within `halfDeg` of the boresight, the rim included.
bool inBeam(GridAzimuth boresight, GridAzimuth bearing, double halfDeg);

/// Share (0..1) of the sky above `maskDeg` that a horizon hides, by solid angle: one minus
/// mean(1 - sin(max(h, m))) / (1 - sin m) over evenly spaced bearings. With mask 0 the rest is the sky view
/// factor by solid angle, 1 - mean(sin h). Horizons below the mask hide nothing. Empty horizon: 0.
double blockedSkyShare(std::span<const double> horizonDeg, double maskDeg);
double blockedSkyShare(const Skyline& skyline, double maskDeg);
/// Widest run of neighbouring bearings whose horizon stands above the mask (deg, 0..360), over north as well.
double widestBlockedRunDeg(const Skyline& skyline, double maskDeg);

/// Share (0..1) of the half-power beam, weighted with its horizontal pattern (3GPP TR 36.814 table A.2.1.1-2:
/// 12 (phi / beamwidth)^2 dB), in whose directions a solid stands nearer than `nearM` at antenna height.
double beamBlockedShare(const Skyline& skyline, GridAzimuth boresight, double hBeamDeg, double nearM);

} // namespace fw
