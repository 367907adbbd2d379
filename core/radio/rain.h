// SPDX-License-Identifier: GPL-3.0-or-later
// Attenuation by rain along a path.
#pragma once

#include "base/units.h"
#include "radio/range.h"

namespace fw {

/// Specific attenuation = k R^alpha, R in mm/h, result in dB/km.
struct RainLaw {
    double k = 0, alpha = 1;
};

/// The law for a polarisation. @param elevationDeg  of the path. @param tiltDeg  of the polarisation against
/// the horizontal: 0 horizontal, 90 vertical, 45 circular.
/// @param f  1 to 1000 GHz stated, see rainRange(). Source: Rec. ITU-R P.838-3, eq. (2) to (5).
RainLaw rainLaw(Hertz f, double elevationDeg, double tiltDeg);

/// The laws of the two linear polarisations, of which rainLaw() is mixed. Source: as above, eq. (2) and (3).
struct RainPolarisations {
    RainLaw horizontal, vertical;
};
RainPolarisations rainPolarisations(Hertz f);

/// Specific attenuation (dB/km) in rain of a rate (mm/h, > 0). Rises with the rate.
/// Source: Rec. ITU-R P.838-3, eq. (1).
double rainAttenuationDbPerKm(const RainLaw& law, double mmPerHour);

Range rainRange(Hertz f);

} // namespace fw
