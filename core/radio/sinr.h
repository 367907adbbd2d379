// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/units.h"

#include <span>

namespace fw {

/// Sum of powers in milliwatts, in the order given; an empty span is no power: -infinity dBm.
Dbm sumOfPowers(std::span<const Dbm> levels);

/// Signal over interference plus noise. All three per the same bandwidth (a resource element, say).
/// @param interferers  each already weighed by how much of the time or band it sends. @param noise receiver's
/// noise.
Db sinr(Dbm signal, std::span<const Dbm> interferers, Dbm noise);

} // namespace fw
