// SPDX-License-Identifier: GPL-3.0-or-later
// Buildings and trees: many and small, so they lie in flat arrays and not in objects of their own.
#pragma once

#include "plan/items.h"
#include "plan/table.h"

#include <memory>
#include <vector>

namespace fw {

/// Up to 1,024 buildings as arrays. Corners are whole millimetres from the chunk's origin, so they are exact
/// and small.
struct BuildingChunk {
    std::vector<ItemId> ids; ///< ascending
    std::vector<float> heightM, parapetM;
    std::vector<std::int16_t> storeys;
    std::vector<BuildingUse> use;
    std::vector<EntryKind> entry;
    std::vector<std::uint32_t>
        firstRing; ///< per building, one more at the end; the first ring is the outer one
    std::vector<std::uint32_t> firstCorner;                   ///< per ring, one more at the end
    std::vector<std::int32_t> cornerMm;                       ///< east, north, east, north, …
    double originX = 0, originY = 0;                          ///< whole metres
    std::vector<std::pair<std::uint32_t, std::string>> names; ///< index and name, only where there is one
    Box bounds;

    [[nodiscard]] std::size_t size() const { return ids.size(); }
    [[nodiscard]] Building building(std::size_t i) const;
};

/// Buildings and trees by id, in shared immutable chunks, like Table.
class Scenery {
public:
    static constexpr std::size_t kChunk = 1024;
    using BuildingChunkPtr = std::shared_ptr<const BuildingChunk>;

    [[nodiscard]] std::size_t buildingCount() const { return m_count; }
    [[nodiscard]] const std::vector<BuildingChunkPtr>& buildingChunks() const { return m_chunks; }
    [[nodiscard]] std::optional<Building> building(ItemId id) const;
    [[nodiscard]] bool hasBuilding(ItemId id) const;
    /// Inserts or replaces; corners, height and parapet are brought to whole millimetres (asKept). Several at
    /// once touch each chunk once; of two with one id the later counts. No footprint is wider than 1,000 km.
    void putBuildings(std::vector<Building> buildings);
    /// Ids that are not there are passed over.
    void removeBuildings(const std::vector<ItemId>& ids);
    /// Calls f(const Building&) for each building, ascending by id.
    template <class F>
    void forEachBuilding(F&& f) const {
        for (const auto& chunk : m_chunks)
            for (std::size_t i = 0; i < chunk->size(); ++i) f(chunk->building(i));
    }

    Table<Tree> trees;

    bool operator==(const Scenery& o) const;

private:
    std::vector<BuildingChunkPtr> m_chunks;
    std::size_t m_count = 0;
};

/// A length as the plan keeps it: whole millimetres.
double toMillimetre(double m);
/// A building as the plan keeps it: corners, height and parapet in whole millimetres.
Building asKept(Building building);

} // namespace fw
