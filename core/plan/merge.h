// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/id.h"

#include <cstddef>
#include <vector>

namespace fw {

/// Walks two lists of chunks side by side, ascending by id, and calls f(a, i, b, j) for each id: the chunk
/// and index on either side, a null chunk where the id is missing. Chunks shared by pointer are passed over
/// whole. Stops when f returns false.
/// @param idAt  id of entry i of a chunk: idAt(chunk, i)
template <class ChunkPtr, class IdAt, class F>
void mergeChunks(const std::vector<ChunkPtr>& before, const std::vector<ChunkPtr>& after, IdAt&& idAt,
                 F&& f) {
    std::size_t a = 0, i = 0, b = 0, j = 0;
    const auto step = [](const std::vector<ChunkPtr>& chunks, std::size_t& c, std::size_t& k) {
        if (++k == chunks[c]->size()) {
            ++c;
            k = 0;
        }
    };
    while (a < before.size() || b < after.size()) {
        const bool hasA = a < before.size(), hasB = b < after.size();
        if (hasA && hasB && i == 0 && j == 0 && before[a] == after[b]) {
            ++a;
            ++b;
            continue;
        }
        const ItemId idA = hasA ? idAt(*before[a], i) : ItemId{}, idB = hasB ? idAt(*after[b], j) : ItemId{};
        const bool takeA = hasA && (!hasB || idA <= idB), takeB = hasB && (!hasA || idB <= idA);
        if (!f(takeA ? before[a].get() : nullptr, i, takeB ? after[b].get() : nullptr, j)) return;
        if (takeA) step(before, a, i);
        if (takeB) step(after, b, j);
    }
}

} // namespace fw
