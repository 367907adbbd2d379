// SPDX-License-Identifier: GPL-3.0-or-later
// The general diffraction loss over a path: Bullington's edge corrected by the round Earth.
#pragma once

#include "base/units.h"
#include "radio/knife_edge.h"
#include "radio/spherical_earth.h"

#include <vector>

namespace fw {

/// The smooth surface that stands for the ground below a path, at its two ends, above the heights' datum (m).
/// Never above the ground there.
struct SmoothSurface {
    double txM = 0, rxM = 0;
};
/// @param path     distances, antenna heights; of its heights nothing is used.
/// @param groundM  bare ground at the distances of the path above the same datum (m), as many.
/// Least-squares line through the ground, lowered towards the higher obstacles when the ground reaches the
/// line between the antennas. Source: Rec. ITU-R P.526-16, 4.5; Rec. ITU-R P.1812-8, Annex 1, Att. 1, 5.6,
/// eq. (85) to (90).
SmoothSurface smoothSurface(const EdgeProfile& path, const std::vector<double>& groundM);

/// The same with what it is made of.
struct SmoothSurfaceSteps {
    SmoothSurface line;            ///< h_st and h_sr: the ends of the least-squares line (m)
    double reachM = 0;             ///< h_obs: the ground above the line between the antennas (m)
    double fromTx = 0, fromRx = 0; ///< alpha_obt and alpha_obr, the same by distance (m/m)
    SmoothSurface lowered;         ///< the line lowered where h_obs is above 0 (m)
    SmoothSurface surface;         ///< at most the ground
};
SmoothSurfaceSteps smoothSurfaceSteps(const EdgeProfile& path, const std::vector<double>& groundM);

struct DeltaBullington {
    SmoothSurface surface;
    Db actual;    ///< Bullington over what stands on the path
    Db smooth;    ///< Bullington over a flat path with the antennas above the smooth surface
    Db spherical; ///< the smooth Earth with the same antennas
    Db total;     ///< actual + max(spherical - smooth, 0)
    BullingtonLoss actualSteps, smoothSteps; ///< what the two are made of
    SphericalPath smoothPath;                ///< what `spherical` was taken over
};
/// A statistic of terrain and roofscapes for macro paths, as bullingtonLoss(); on single roofs use an edge.
/// The same from either end. Its only steps are that of J at -0.78 and of the height gain, 0.02 dB.
/// @param path     tops of what stands there. @param groundM  bare ground there, as many.
/// @param seaShare of the path over sea, 0 to 1. @param wavelengthM  see sphericalEarthLoss().
/// Source: Rec. ITU-R P.526-16, 4.5; Rec. ITU-R P.1812-8, Annex 1, 4.3.4.
DeltaBullington deltaBullington(const EdgeProfile& path, const std::vector<double>& groundM,
                                Polarisation polarisation, double seaShare, Hertz f, double wavelengthM);

} // namespace fw
