// SPDX-License-Identifier: GPL-3.0-or-later
#include "geo/index.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

/// Bucket of a coordinate, kept inside the grid.
int bucketOf(double v, double origin, double bucketM, int count) {
    return static_cast<int>(std::clamp(std::floor((v - origin) / bucketM), 0.0, count - 1.0));
}

struct BucketRange {
    int c0, r0, c1, r1;
};
BucketRange rangeOf(const Box& b, const Box& bounds, double bucketM, int w, int h) {
    return {bucketOf(b.x0, bounds.x0, bucketM, w), bucketOf(b.y0, bounds.y0, bucketM, h),
            bucketOf(b.x1, bounds.x0, bucketM, w), bucketOf(b.y1, bounds.y0, bucketM, h)};
}

} // namespace

BoxIndex::BoxIndex(const std::vector<Box>& boxes, double bucketM) : m_boxes(boxes), m_bucketM(bucketM) {
    for (const Box& b : m_boxes) m_bounds.add(b);
    if (m_bounds.empty()) return;
    // A few far outliers must not ask for millions of empty buckets.
    const double most = 64.0 * static_cast<double>(m_boxes.size()) + 4096.0;
    while ((m_bounds.width() / m_bucketM + 1) * (m_bounds.height() / m_bucketM + 1) > most) m_bucketM *= 2;
    m_w = static_cast<int>(std::floor(m_bounds.width() / m_bucketM)) + 1;
    m_h = static_cast<int>(std::floor(m_bounds.height() / m_bucketM)) + 1;

    m_first.reserve(m_boxes.size());
    for (const Box& b : m_boxes) {
        const BucketRange g = rangeOf(b, m_bounds, m_bucketM, m_w, m_h);
        m_first.push_back({g.c0, g.r0});
    }
    const auto bucket = [this](int c, int r) {
        return static_cast<std::size_t>(r) * static_cast<std::size_t>(m_w) + static_cast<std::size_t>(c);
    };
    const auto forBuckets = [&](const Box& b, auto&& f) {
        if (b.empty()) return;
        const BucketRange g = rangeOf(b, m_bounds, m_bucketM, m_w, m_h);
        for (int r = g.r0; r <= g.r1; ++r)
            for (int c = g.c0; c <= g.c1; ++c) f(bucket(c, r));
    };
    m_start.assign(static_cast<std::size_t>(m_w) * static_cast<std::size_t>(m_h) + 1, 0);
    for (const Box& b : m_boxes) forBuckets(b, [&](std::size_t k) { ++m_start[k + 1]; });
    for (std::size_t k = 1; k < m_start.size(); ++k) m_start[k] += m_start[k - 1];
    m_items.resize(m_start.back());
    std::vector<std::uint32_t> next(m_start.begin(), m_start.end() - 1);
    for (std::uint32_t i = 0; i < m_boxes.size(); ++i)
        forBuckets(m_boxes[i], [&](std::size_t k) { m_items[next[k]++] = i; });
}

void BoxIndex::query(const Box& where, std::vector<std::uint32_t>& out) const {
    out.clear();
    if (!m_bounds.meets(where)) return;
    const BucketRange g = rangeOf(where, m_bounds, m_bucketM, m_w, m_h);
    for (int r = g.r0; r <= g.r1; ++r) {
        for (int c = g.c0; c <= g.c1; ++c) {
            const std::size_t k =
                static_cast<std::size_t>(r) * static_cast<std::size_t>(m_w) + static_cast<std::size_t>(c);
            for (std::uint32_t n = m_start[k]; n < m_start[k + 1]; ++n) {
                const std::uint32_t i = m_items[n];
                // A box over several buckets is taken in the first that it shares with the query, so each
                // comes once.
                const Bucket own = m_first[i];
                if (std::max(own.col, g.c0) == c && std::max(own.row, g.r0) == r && m_boxes[i].meets(where))
                    out.push_back(i);
            }
        }
    }
    std::sort(out.begin(), out.end());
}

} // namespace fw
