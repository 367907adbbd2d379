// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/tile_shelf.h"

#include <algorithm>

namespace fw {

void TileShelf::put(const WebTile& tile, Picture picture) {
    const std::lock_guard hold(m_mutex);
    Entry& e = m_entries[tile];
    if (e.picture) m_bytes -= e.picture->rgba.size();
    e.picture = std::make_shared<const Picture>(std::move(picture));
    e.used = ++m_clock;
    m_bytes += e.picture->rgba.size();
    while (m_bytes > m_mostBytes && m_entries.size() > 1) {
        const auto oldest =
            std::min_element(m_entries.begin(), m_entries.end(),
                             [](const auto& a, const auto& b) { return a.second.used < b.second.used; });
        m_bytes -= oldest->second.picture->rgba.size();
        m_entries.erase(oldest);
    }
}

std::shared_ptr<const Picture> TileShelf::find(const WebTile& tile) {
    const std::lock_guard hold(m_mutex);
    const auto at = m_entries.find(tile);
    if (at == m_entries.end()) return nullptr;
    at->second.used = ++m_clock;
    return at->second.picture;
}

bool TileShelf::has(const WebTile& tile) const {
    const std::lock_guard hold(m_mutex);
    return m_entries.count(tile) != 0;
}

std::size_t TileShelf::bytes() const {
    const std::lock_guard hold(m_mutex);
    return m_bytes;
}

} // namespace fw
