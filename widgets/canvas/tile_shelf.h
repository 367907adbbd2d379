// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "geo/web_grid.h"
#include "intake/picture.h"

#include <map>
#include <memory>
#include <mutex>

namespace fw {

/// Tiles of the web's grid as they came, unpacked; those asked for longest ago go when it is full.
/// Thread-safe.
class TileShelf {
public:
    explicit TileShelf(std::size_t mostBytes) : m_mostBytes(mostBytes) {}

    void put(const WebTile& tile, Picture picture);
    /// Null when it is not there.
    std::shared_ptr<const Picture> find(const WebTile& tile);
    [[nodiscard]] bool has(const WebTile& tile) const;
    [[nodiscard]] std::size_t bytes() const;

private:
    struct Entry {
        std::shared_ptr<const Picture> picture;
        std::uint64_t used = 0;
    };
    mutable std::mutex m_mutex;
    std::map<WebTile, Entry> m_entries;
    std::size_t m_mostBytes, m_bytes = 0;
    std::uint64_t m_clock = 0;
};

} // namespace fw
