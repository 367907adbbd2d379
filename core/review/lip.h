// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/units.h"
#include "surface/surface.h"

#include <optional>

namespace fw {

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
/// Source: Rec. ITU-R P.526-16, section 2 (Fresnel zone; 0.6 of its radius free counts as clear).
std::optional<Lip> worstLip(const Surface& surface, int ownPrism, const LipSpec& spec);

} // namespace fw
