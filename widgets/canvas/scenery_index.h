// SPDX-License-Identifier: GPL-3.0-or-later
// Which buildings, trees, streets and lines meet a place, without copying any of them: a box for each, kept
// by chunk, so that an edit renews only the chunks that it touched.
#pragma once

#include "plan/plan.h"

#include <algorithm>
#include <cstdint>
#include <limits>
#include <memory>
#include <mutex>
#include <vector>

namespace fw {

Box boundsOf(const Tree& tree);
Box boundsOf(const Street& street); ///< with its width
Box boundsOf(const OverheadLine& line);

/// Boxes and areas of one chunk's buildings, made by whoever asks first.
class BuildingBoxes {
public:
    struct Entry {
        std::int32_t x0, y0, x1, y1; ///< millimetres from the chunk's origin
        float areaM2;
    };
    explicit BuildingBoxes(Scenery::BuildingChunkPtr chunk) : m_chunk(std::move(chunk)) {}
    [[nodiscard]] const Scenery::BuildingChunkPtr& chunk() const { return m_chunk; }
    [[nodiscard]] const std::vector<Entry>& entries() const;

private:
    Scenery::BuildingChunkPtr m_chunk;
    mutable std::once_flag m_once;
    mutable std::vector<Entry> m_entries;
};

/// Boxes of one chunk of a table.
template <class T>
class ItemBoxes {
public:
    using ChunkPtr = typename Table<T>::ChunkPtr;
    explicit ItemBoxes(ChunkPtr chunk) : m_chunk(std::move(chunk)) {}
    [[nodiscard]] const ChunkPtr& chunk() const { return m_chunk; }
    template <class F>
    void each(const Box& where, F& f) const {
        std::call_once(m_once, [this] {
            m_boxes.reserve(m_chunk->size());
            for (const T& item : *m_chunk) {
                m_boxes.push_back(boundsOf(item));
                m_bounds.add(m_boxes.back());
            }
        });
        if (!m_bounds.meets(where)) return;
        for (std::size_t i = 0; i < m_boxes.size(); ++i)
            if (m_boxes[i].meets(where)) f((*m_chunk)[i]);
    }

private:
    ChunkPtr m_chunk;
    mutable std::once_flag m_once;
    mutable std::vector<Box> m_boxes;
    mutable Box m_bounds;
};

/// Immutable; any number of threads may ask at once.
class SceneryIndex {
public:
    /// Shares with `previous` (may be null) what both plans share. Quick: boxes are made when first asked
    /// for.
    static std::shared_ptr<const SceneryIndex> make(const Plan& plan, const SceneryIndex* previous);

    /// Calls f(const BuildingChunk&, std::size_t index, const BuildingBoxes::Entry&), in the plan's order.
    template <class F>
    void buildings(const Box& where, F&& f) const {
        for (const auto& boxes : m_buildings) {
            const BuildingChunk& chunk = *boxes->chunk();
            if (!chunk.bounds.meets(where)) continue;
            const std::int32_t x0 = mm(where.x0 - chunk.originX), y0 = mm(where.y0 - chunk.originY),
                               x1 = mm(where.x1 - chunk.originX), y1 = mm(where.y1 - chunk.originY);
            const auto& entries = boxes->entries();
            for (std::size_t i = 0; i < entries.size(); ++i) {
                const BuildingBoxes::Entry& e = entries[i];
                if (e.x0 <= x1 && x0 <= e.x1 && e.y0 <= y1 && y0 <= e.y1) f(chunk, i, e);
            }
        }
    }
    template <class F>
    void trees(const Box& where, F&& f) const {
        for (const auto& boxes : m_trees) boxes->each(where, f);
    }
    template <class F>
    void streets(const Box& where, F&& f) const {
        for (const auto& boxes : m_streets) boxes->each(where, f);
    }
    template <class F>
    void lines(const Box& where, F&& f) const {
        for (const auto& boxes : m_lines) boxes->each(where, f);
    }
    /// The building that covers a place, or none.
    [[nodiscard]] ItemId buildingAt(PlanePoint at) const;

private:
    static std::int32_t mm(double metres) {
        constexpr double lowest = std::numeric_limits<std::int32_t>::min(),
                         highest = std::numeric_limits<std::int32_t>::max();
        return static_cast<std::int32_t>(std::clamp(metres * 1000, lowest, highest));
    }
    template <class T>
    using Boxes = std::vector<std::shared_ptr<const ItemBoxes<T>>>;
    std::vector<std::shared_ptr<const BuildingBoxes>> m_buildings;
    Boxes<Tree> m_trees;
    Boxes<Street> m_streets;
    Boxes<OverheadLine> m_lines;
};

} // namespace fw
