// SPDX-License-Identifier: GPL-3.0-or-later
// Diffraction over the smooth, round Earth.
#pragma once

#include "base/units.h"
#include "radio/range.h"

namespace fw {

enum class Polarisation { horizontal, vertical };

/// The ground as the wave feels it. Source: Rec. ITU-R P.1812-8, Annex 1, 4.3.3, the values of land and sea.
struct Ground {
    double permittivity = 22;         ///< relative, >= 1
    double conductivitySPerM = 0.003; ///< (S/m), >= 0
};
inline constexpr Ground kLand{22, 0.003};
inline constexpr Ground kSea{80, 5.0};

struct SphericalPath {
    double distanceM = 0; ///< (m), > 0
    double txHeightM = 0; ///< antennas above the smooth surface (m), > 0
    double rxHeightM = 0;
    double earthRadiusM = 8500e3; ///< effective radius (m), > 0
    double seaShare = 0;          ///< share of the path over sea, 0 to 1; the rest is land
    Polarisation polarisation = Polarisation::horizontal;
};

/// First term of the residue series, for paths at or beyond the radio horizon. Negative well within it, where
/// it has no meaning. The height gain steps by 0.02 dB where its two printed forms meet.
/// Source: Rec. ITU-R P.526-16, 3.1.1; Rec. ITU-R P.1812-8, Annex 1, 4.3.3.
Db firstTermLoss(const SphericalPath& path, Hertz f, Ground ground);

/// The same with what it is made of.
struct FirstTerm {
    double admittance = 0;          ///< K
    double beta = 0;                ///< by the ground's kind
    double x = 0, yTx = 0, yRx = 0; ///< normalised length and heights
    Db along;                       ///< F(X)
    Db gainTx, gainRx;              ///< G(Y)
    Db loss;                        ///< -F(X) - G(Y1) - G(Y2)
};
FirstTerm firstTermSteps(const SphericalPath& path, Hertz f, Ground ground);

/// Diffraction loss over the smooth Earth at any distance: 0 where 0.6 of the first Fresnel zone is free of
/// the bulge, the first term beyond the horizon, and between them a share of the first term over a smaller
/// Earth. Never negative, continuous but for the 0.02 dB above, the same from either end; rises with
/// distance.
/// @param wavelengthM  (m), > 0; apart from f because sources round the speed of light differently.
/// Stated, see sphericalRange(): 30 MHz to 50 GHz. Source: Rec. ITU-R P.526-16, 3.2; Rec. ITU-R P.1812-8,
/// Annex 1, 4.3.2, to eq. (27).
Db sphericalEarthLoss(const SphericalPath& path, Hertz f, double wavelengthM);

/// The same with what it is made of.
struct SphericalLoss {
    double horizonM = 0;   ///< length from which the path is beyond its horizon
    bool beyond = false;   ///< it is
    double clearanceM = 0; ///< h, least height of the line over the surface; only within the horizon
    double neededM = 0;    ///< h_req, 0.6 of the first Fresnel radius there
    double radiusM = 0;    ///< effective radius that the first term is taken over; 0 when none is needed
    Db firstTerm;          ///< over that radius, land and sea by their shares
    Db total;
};
SphericalLoss sphericalEarthSteps(const SphericalPath& path, Hertz f, double wavelengthM);

/// The widest range a Recommendation states for this method: 0.03 to 50 GHz (P.2001) [from memory].
Range sphericalRange(Hertz f);

} // namespace fw
