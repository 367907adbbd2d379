// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "geo/shape.h"

#include <cstdint>
#include <vector>

namespace fw {

/// Which boxes meet a place: a flat grid of buckets, built once, read by any number of threads.
class BoxIndex {
public:
    BoxIndex() = default;
    /// @param bucketM  side of a bucket; about the size of the things indexed, 64 m for buildings.
    explicit BoxIndex(const std::vector<Box>& boxes, double bucketM = 64.0);

    /// Indices of the boxes that meet `where`, ascending, each once. Appends nothing twice; `out` is cleared
    /// first.
    void query(const Box& where, std::vector<std::uint32_t>& out) const;
    [[nodiscard]] std::size_t size() const { return m_boxes.size(); }

private:
    std::vector<Box> m_boxes;
    Box m_bounds;
    double m_bucketM = 64;
    int m_w = 0, m_h = 0;
    std::vector<std::uint32_t> m_start, m_items;
    struct Bucket {
        std::int32_t col, row;
    };
    std::vector<Bucket> m_first; // by box: its south-western bucket
};

} // namespace fw
