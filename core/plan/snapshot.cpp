// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/snapshot.h"

#include "plan/merge.h"
#include "plan/tables.h"

namespace fw {

namespace {

template <class ChunkPtr, class IdAt, class Same>
void compare(Kind kind, const std::vector<ChunkPtr>& before, const std::vector<ChunkPtr>& after, IdAt&& idAt,
             Same&& same, std::vector<Difference>& out) {
    using What = Difference::What;
    mergeChunks(before, after, idAt, [&](const auto* a, std::size_t i, const auto* b, std::size_t j) {
        if (!a)
            out.push_back({kind, idAt(*b, j), What::added});
        else if (!b)
            out.push_back({kind, idAt(*a, i), What::removed});
        else if (!same(*a, i, *b, j))
            out.push_back({kind, idAt(*a, i), What::changed});
        return true;
    });
}

void compareBuildings(const Scenery& before, const Scenery& after, std::vector<Difference>& out) {
    compare(
        Kind::building, before.buildingChunks(), after.buildingChunks(),
        [](const BuildingChunk& c, std::size_t i) { return c.ids[i]; },
        [](const BuildingChunk& a, std::size_t i, const BuildingChunk& b, std::size_t j) {
            return a.building(i) == b.building(j);
        },
        out);
}

} // namespace

PlanDiff diff(const Plan& before, const Plan& after) {
    PlanDiff d;
    d.settings = before.settings != after.settings && !(*before.settings == *after.settings);
    forEachTable(before, [&](const auto& table) {
        using T = ItemOf<decltype(table)>;
        // Buildings come before trees in the order of kinds.
        if constexpr (std::is_same_v<T, Tree>) compareBuildings(before.scenery, after.scenery, d.items);
        compare(
            kindOfType<T>(), table.chunks(), tableOf<T>(after).chunks(),
            [](const std::vector<T>& c, std::size_t i) { return c[i].id; },
            [](const std::vector<T>& a, std::size_t i, const std::vector<T>& b, std::size_t j) {
                return a[i] == b[j];
            },
            d.items);
    });
    return d;
}

} // namespace fw
