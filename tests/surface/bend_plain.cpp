// SPDX-License-Identifier: GPL-3.0-or-later
// The source of the bend compiled again in a namespace of its own, for a plain x86-64. What it includes comes
// first, so that only it is compiled a second time.
#include "bend_plain.h"

#include "surface/sight_window.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace fw_plain {
using namespace fw;
namespace sweep = fw::sweep;
} // namespace fw_plain
#define FW_WIDE
#define fw fw_plain
#include "../../core/surface/bend.cpp" // NOLINT(bugprone-suspicious-include)
#undef fw

std::vector<float> fw_plain::bendOf(const fw::SightScan& scan, const std::vector<float>& receiverAmsl,
                                    double sideM) {
    fw_plain::PathBend bend;
    bend.follow(scan, receiverAmsl, sideM);
    return bend.plane();
}
