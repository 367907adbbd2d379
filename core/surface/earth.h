// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace fw {

/// Radius of the earth over which rays run straight in the median atmosphere (m): 4/3 of 6371 km.
/// Source: Rec. ITU-R P.526-16, 1 and P.310 (effective radius factor k = 4/3, about 8500 km).
inline constexpr double kEffectiveEarthRadiusM = 4.0 / 3.0 * 6371000.0;

} // namespace fw
