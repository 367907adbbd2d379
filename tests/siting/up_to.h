// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers to choose from.
#pragma once

#include <cstdint>
#include <vector>

namespace fwtest {

/// 0, 1 ... `n` - 1.
inline std::vector<std::int32_t> upTo(std::int32_t n) {
    std::vector<std::int32_t> out;
    for (std::int32_t k = 0; k < n; ++k) out.push_back(k);
    return out;
}

} // namespace fwtest
