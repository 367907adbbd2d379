// SPDX-License-Identifier: GPL-3.0-or-later
// Tiles of the map, drawn by threads of its own and kept while there is room.
#pragma once

#include "canvas/tile_picture.h"

#include <QImage>

#include <functional>
#include <memory>
#include <vector>

namespace fw {

/// Lives on the window's thread; every function is called there. Pictures arrive through the event loop.
class TileStore {
public:
    /// @param arrived  called on the window's thread after pictures have come in.
    /// @param threads  0: one less than there are cores, at least one.
    explicit TileStore(std::function<void()> arrived, unsigned threads = 0,
                       std::size_t mostBytes = std::size_t(256) << 20);
    ~TileStore();
    TileStore(const TileStore&) = delete;
    TileStore& operator=(const TileStore&) = delete;

    /// What is drawn from now on. Tiles that meet one of `changed` (or come within kTileReachPx of it) are
    /// stale: their old picture stays until the new one is there. All others stay as they are.
    void setScene(std::shared_ptr<const TileScene> scene, const std::vector<Box>& changed);
    /// As setScene, with everything stale.
    void renew(std::shared_ptr<const TileScene> scene);
    /// As setScene, with every picture dropped.
    void replace(std::shared_ptr<const TileScene> scene);

    /// Tiles to draw, the most urgent first, in place of all that were wanted before; those that are there
    /// and not stale cost nothing.
    void want(std::vector<MapTileKey> keys);
    /// While paused no thread draws; one that does rests where it is.
    void setPaused(bool paused);
    /// Pictures of one resolution that are never given up for room (the overview); 0: none.
    void pin(double metresPerPixel);

    /// The picture, perhaps a stale one; null when there is none.
    [[nodiscard]] const QImage* picture(const MapTileKey& key);
    /// There and not stale.
    [[nodiscard]] bool fresh(const MapTileKey& key) const;
    /// Resolutions of which there is any picture.
    [[nodiscard]] std::vector<double> resolutions() const;
    [[nodiscard]] std::size_t bytes() const;
    [[nodiscard]] std::size_t staleCount() const;

private:
    struct Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace fw
