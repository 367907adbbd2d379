// SPDX-License-Identifier: GPL-3.0-or-later
// What open ground of a land-cover class weighs, as a plan keeps it: "10=0.1; 50=1; 80=0".
#pragma once

#include "base/result.h"

#include <cstdint>
#include <map>
#include <string>
#include <string_view>

namespace fw {

/// Weight of a square metre by class; 1 is a square metre of street. An empty text gives none. Refused by a
/// sentence: anything but pairs of a whole number and a weight from 0 to 100, a class that is named twice,
/// more than 256 of them.
Result<std::map<std::int32_t, double>> classWeights(std::string_view text);
std::string classWeightsText(const std::map<std::int32_t, double>& weights);

} // namespace fw
