// SPDX-License-Identifier: GPL-3.0-or-later
// Inside of the sight sweep: what the kernel and its yardstick share.
#pragma once

#include "surface/sight_scan.h"

namespace fw::sweep {

/// Sets up everything of `out` but the edges: radius, centre, antenna, and the window with the carrying
/// prism lowered to the ground. Another solid under the same cells is lowered with it.
void openWindow(const Surface& surface, const ScanSpec& spec, SightScan& out);

/// Columns of the disc to either side of its middle, by row distance 0..R.
void halfWidths(int radius, std::vector<int>& out);

} // namespace fw::sweep
