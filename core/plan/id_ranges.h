// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/result.h"

#include <cstdint>
#include <string_view>
#include <vector>

namespace fw {

/// Numbers from `first` to `last`, both counted in.
struct IdRange {
    std::int64_t first = 0, last = 0;
    bool operator==(const IdRange&) const = default;
};

/// Ranges as a user writes them, "100-119, 140": ascending, those that meet or touch made one. An empty text
/// gives none. Refused by a clause without full stop: what is no whole number, a range that falls, a number
/// above `highest`, more than 1000 ranges.
Result<std::vector<IdRange>> idRanges(std::string_view text, std::int64_t highest);

/// How many numbers they hold.
std::int64_t countOf(const std::vector<IdRange>& ranges);

} // namespace fw
