// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/scenery_index.h"

#include <cmath>
#include <unordered_map>

namespace fw {

Box boundsOf(const Tree& tree) {
    return Box{tree.at.x, tree.at.y, tree.at.x, tree.at.y}.grown(tree.crownRadiusM);
}

Box boundsOf(const Street& street) { return boundsOf(street.path).grown(street.widthM / 2); }

Box boundsOf(const OverheadLine& line) { return boundsOf(line.path); }

const std::vector<BuildingBoxes::Entry>& BuildingBoxes::entries() const {
    std::call_once(m_once, [this] {
        const BuildingChunk& c = *m_chunk;
        m_entries.reserve(c.size());
        for (std::size_t i = 0; i < c.size(); ++i) {
            const std::uint32_t ring = c.firstRing[i], from = c.firstCorner[ring],
                                to = c.firstCorner[ring + 1];
            Entry e{c.cornerMm[2 * from], c.cornerMm[2 * from + 1], c.cornerMm[2 * from],
                    c.cornerMm[2 * from + 1], 0};
            double twice = 0;
            for (std::uint32_t k = from; k < to; ++k) {
                const std::uint32_t next = k + 1 < to ? k + 1 : from;
                const std::int32_t x = c.cornerMm[2 * k], y = c.cornerMm[2 * k + 1];
                e.x0 = std::min(e.x0, x);
                e.x1 = std::max(e.x1, x);
                e.y0 = std::min(e.y0, y);
                e.y1 = std::max(e.y1, y);
                twice += double(x) * c.cornerMm[2 * next + 1] - double(c.cornerMm[2 * next]) * y;
            }
            e.areaM2 = static_cast<float>(std::abs(twice) * 0.5e-6);
            m_entries.push_back(e);
        }
    });
    return m_entries;
}

namespace {

/// One entry a chunk; those whose chunk is the same are taken over.
template <class Entry, class Chunks>
std::vector<std::shared_ptr<const Entry>> renewed(const Chunks& chunks,
                                                  const std::vector<std::shared_ptr<const Entry>>* previous) {
    std::unordered_map<const void*, const std::shared_ptr<const Entry>*> known;
    if (previous)
        for (const auto& entry : *previous) known.emplace(entry->chunk().get(), &entry);
    std::vector<std::shared_ptr<const Entry>> out;
    out.reserve(chunks.size());
    for (const auto& chunk : chunks) {
        const auto it = known.find(chunk.get());
        out.push_back(it != known.end() ? *it->second : std::make_shared<const Entry>(chunk));
    }
    return out;
}

} // namespace

std::shared_ptr<const SceneryIndex> SceneryIndex::make(const Plan& plan, const SceneryIndex* previous) {
    auto index = std::make_shared<SceneryIndex>();
    const SceneryIndex* p = previous;
    index->m_buildings = renewed<BuildingBoxes>(plan.scenery.buildingChunks(), p ? &p->m_buildings : nullptr);
    index->m_trees = renewed<ItemBoxes<Tree>>(plan.scenery.trees.chunks(), p ? &p->m_trees : nullptr);
    index->m_streets = renewed<ItemBoxes<Street>>(plan.streets.chunks(), p ? &p->m_streets : nullptr);
    index->m_lines = renewed<ItemBoxes<OverheadLine>>(plan.overheadLines.chunks(), p ? &p->m_lines : nullptr);
    return index;
}

ItemId SceneryIndex::buildingAt(PlanePoint at) const {
    ItemId found;
    buildings({at.x, at.y, at.x, at.y}, [&](const BuildingChunk& c, std::size_t i, const auto&) {
        const double x = (at.x - c.originX) * 1000, y = (at.y - c.originY) * 1000;
        bool inside = false;
        for (std::uint32_t ring = c.firstRing[i]; ring < c.firstRing[i + 1]; ++ring)
            for (std::uint32_t from = c.firstCorner[ring], to = c.firstCorner[ring + 1], k = from,
                               last = to - 1;
                 k < to; last = k++) {
                const double xa = c.cornerMm[2 * k], ya = c.cornerMm[2 * k + 1], xb = c.cornerMm[2 * last],
                             yb = c.cornerMm[2 * last + 1];
                if ((ya > y) != (yb > y) && x < (xb - xa) * (y - ya) / (yb - ya) + xa) inside = !inside;
            }
        if (inside) found = c.ids[i];
    });
    return found;
}

} // namespace fw
