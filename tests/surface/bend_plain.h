// SPDX-License-Identifier: GPL-3.0-or-later
// The bend's kernel once more: see bend_plain.cpp.
#pragma once

#include "surface/sight_scan.h"

namespace fw_plain {
std::vector<float> bendOf(const fw::SightScan& scan, const std::vector<float>& receiverAmsl, double sideM);
} // namespace fw_plain
