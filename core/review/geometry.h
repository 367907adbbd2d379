// SPDX-License-Identifier: GPL-3.0-or-later
// Plain geometry behind the rules, free of plans and studies.
#pragma once

#include "base/units.h"
#include "surface/skyline.h"
#include "surface/surface.h"

#include <optional>
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

/// A place where the beam leaves the roof that carries the antenna.
struct Lip {
    double alongM = 0;     ///< from the antenna, in plan
    double azimuthDeg = 0; ///< grid
    double clearanceM = 0; ///< ray over the lip; negative when cut
    double firstZoneM = 0; ///< radius of the first Fresnel zone there; 0 where the ray ends on the roof
};
struct LipSpec {
    PlanePoint at;
    double antennaAmsl = 0;
    GridAzimuth boresight;
    double hBeamDeg = 65;
    double depressionDeg = 18; ///< of the lower half-power edge, down positive
    double reachM = 300;       ///< where an edge that never lands is taken to end
    double needF1 = 0.6;       ///< wanted clearance in first Fresnel radii; settles which lip is worst
    Hertz frequency;
};
/// The lip with the least clearance less `needF1` times the zone, over bearings within half a beamwidth. The
/// ray runs along the lower half-power edge to the nearest served ground; every crossing of the carrying
/// building's outline (roof height and parapet) is a lip. Empty when the beam crosses none.
/// Source: Rec. ITU-R P.526-15, 2.1 (Fresnel zone), 2.2 (0.6 of the first zone).
std::optional<Lip> worstLip(const Surface& surface, int ownPrism, const LipSpec& spec);

} // namespace fw
