// SPDX-License-Identifier: GPL-3.0-or-later
// Free-space transmission.
#pragma once

#include "base/units.h"

namespace fw {

/// Speed of light in vacuum (m/s), exact by the definition of the metre.
inline constexpr double kSpeedOfLight = 299792458.0;

/// Wavelength in vacuum (m). f > 0.
constexpr double wavelengthM(Hertz f) { return kSpeedOfLight / f.v; }

/// Basic transmission loss between isotropic antennas in free space, 20 log10(4 pi d / lambda), with the
/// exact speed of light (the printed constants 32.4 and 92.4 are up to 0.05 dB lower).
/// @param distanceM  slant distance (m), > 0; far field. @param f  frequency, > 0.
/// @return loss, positive (dB); it can be negative below lambda / 4 pi, where the model has no meaning.
/// Source: Rec. ITU-R P.525-5, eq. (4).
Db freeSpaceLoss(double distanceM, Hertz f);

/// Where the far field of an antenna, and with it the model, begins at the earliest (m): at lambda / 2 pi, as
/// far as the reactive field of the smallest antenna reaches; for gains that take an aperture of half a
/// wavelength or more (from 3.9 dBi on) at 2 D^2 / lambda, D that of a round one without losses, pi D /
/// lambda = sqrt(G). A long, narrow antenna's begins farther out. Source: IEEE Std 145, reactive near-field
/// region and far-field region [from memory].
double farFieldM(Db gain, Hertz f);

/// Power at the port of a receiving antenna in free space, Friis' equation.
/// Source: Rec. ITU-R P.525-5, eq. (4), with both antenna gains.
Dbm freeSpaceReceived(Dbm transmitted, Db gainTx, Db gainRx, double distanceM, Hertz f);

} // namespace fw
