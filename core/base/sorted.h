// SPDX-License-Identifier: GPL-3.0-or-later
// Lists of ids in ascending order, each once.
#pragma once

#include "base/id.h"

#include <algorithm>
#include <vector>

namespace fw {

inline void sortUnique(std::vector<ItemId>& ids) {
    std::sort(ids.begin(), ids.end());
    ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
}

inline bool isAmong(const std::vector<ItemId>& sorted, ItemId id) {
    return std::binary_search(sorted.begin(), sorted.end(), id);
}

} // namespace fw
