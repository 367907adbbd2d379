// SPDX-License-Identifier: GPL-3.0-or-later
// Of the tests' own, so that no figure worked out by hand rests on the core's.
#pragma once

#include <cmath>

namespace fw::testing {

inline double db(double ratio) { return 10 * std::log10(ratio); }

} // namespace fw::testing
