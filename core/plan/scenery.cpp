// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/scenery.h"

#include "plan/merge.h"

#include <algorithm>
#include <cmath>

namespace fw {

double toMillimetre(double m) { return std::round(m * 1000.0) / 1000.0; }

namespace {

using Chunk = BuildingChunk;
using ChunkPtr = Scenery::BuildingChunkPtr;

// Corners stay well inside 32 bits: a chunk ends before a building that lies further than this from its
// origin.
constexpr double kChunkReachM = 1e6;

std::int64_t inMillimetres(double m) { return static_cast<std::int64_t>(std::round(m * 1000.0)); }

std::int64_t originMm(double metres) { return static_cast<std::int64_t>(metres) * 1000; }

// Fills one chunk, building by building.
class ChunkWriter {
public:
    explicit ChunkWriter(PlanePoint first) : m_chunk(std::make_shared<Chunk>()) {
        m_chunk->originX = std::floor(first.x);
        m_chunk->originY = std::floor(first.y);
        m_chunk->firstRing.push_back(0);
        m_chunk->firstCorner.push_back(0);
    }

    [[nodiscard]] bool reaches(PlanePoint p) const {
        return std::fabs(p.x - m_chunk->originX) < kChunkReachM &&
               std::fabs(p.y - m_chunk->originY) < kChunkReachM;
    }

    void add(const Building& b) {
        addRing(b.footprint.outer);
        for (const Ring& hole : b.footprint.holes) addRing(hole);
        addRest(b.id, static_cast<float>(toMillimetre(b.heightM)),
                static_cast<float>(toMillimetre(b.parapetM)), static_cast<std::int16_t>(b.storeys), b.use,
                b.entry);
        if (!b.name.empty()) m_chunk->names.emplace_back(m_chunk->size() - 1, b.name);
    }

    // The same from another chunk, without going through a Building: an edit rewrites a whole chunk.
    void add(const Chunk& from, std::size_t i) {
        const std::int64_t dx = originMm(from.originX) - originMm(m_chunk->originX);
        const std::int64_t dy = originMm(from.originY) - originMm(m_chunk->originY);
        for (std::uint32_t r = from.firstRing[i]; r < from.firstRing[i + 1]; ++r) {
            for (std::uint32_t c = from.firstCorner[r]; c < from.firstCorner[r + 1]; ++c)
                addCorner(from.cornerMm[2 * c] + dx, from.cornerMm[2 * c + 1] + dy);
            endRing();
        }
        addRest(from.ids[i], from.heightM[i], from.parapetM[i], from.storeys[i], from.use[i], from.entry[i]);
        const auto name = std::lower_bound(from.names.begin(), from.names.end(), i,
                                           [](const auto& n, std::size_t at) { return n.first < at; });
        if (name != from.names.end() && name->first == i)
            m_chunk->names.emplace_back(m_chunk->size() - 1, name->second);
    }

    [[nodiscard]] std::size_t size() const { return m_chunk->size(); }
    ChunkPtr done() {
        const double x = m_chunk->originX, y = m_chunk->originY;
        for (std::size_t c = 0; c + 1 < m_chunk->cornerMm.size(); c += 2)
            m_chunk->bounds.add(
                PlanePoint{x + m_chunk->cornerMm[c] / 1000.0, y + m_chunk->cornerMm[c + 1] / 1000.0});
        return std::move(m_chunk);
    }

private:
    void addRing(const Ring& ring) {
        const std::int64_t x = originMm(m_chunk->originX), y = originMm(m_chunk->originY);
        for (const PlanePoint& p : ring) addCorner(inMillimetres(p.x) - x, inMillimetres(p.y) - y);
        endRing();
    }
    void addCorner(std::int64_t x, std::int64_t y) {
        m_chunk->cornerMm.push_back(static_cast<std::int32_t>(x));
        m_chunk->cornerMm.push_back(static_cast<std::int32_t>(y));
    }
    void endRing() {
        m_chunk->firstCorner.push_back(static_cast<std::uint32_t>(m_chunk->cornerMm.size() / 2));
    }
    void addRest(ItemId id, float heightM, float parapetM, std::int16_t storeys, BuildingUse use,
                 EntryKind entry) {
        m_chunk->ids.push_back(id);
        m_chunk->heightM.push_back(heightM);
        m_chunk->parapetM.push_back(parapetM);
        m_chunk->storeys.push_back(storeys);
        m_chunk->use.push_back(use);
        m_chunk->entry.push_back(entry);
        m_chunk->firstRing.push_back(static_cast<std::uint32_t>(m_chunk->firstCorner.size() - 1));
    }

    std::shared_ptr<Chunk> m_chunk;
};

PlanePoint firstCornerOf(const Chunk& chunk, std::size_t i) {
    const std::size_t c = chunk.firstCorner[chunk.firstRing[i]];
    return {chunk.originX + chunk.cornerMm[2 * c] / 1000.0,
            chunk.originY + chunk.cornerMm[2 * c + 1] / 1000.0};
}

// A building of the chunk being rewritten, or a new one.
struct Source {
    const Chunk* chunk = nullptr;
    std::size_t index = 0;
    const Building* fresh = nullptr;

    [[nodiscard]] PlanePoint corner() const {
        if (!fresh) return firstCornerOf(*chunk, index);
        return fresh->footprint.outer.empty() ? PlanePoint{} : fresh->footprint.outer.front();
    }
};

void writeChunks(const std::vector<Source>& sources, bool appending, std::vector<ChunkPtr>& out) {
    if (sources.empty()) return;
    const std::size_t parts = (sources.size() + Scenery::kChunk - 1) / Scenery::kChunk;
    // Ids mostly grow: at the end of the list chunks are filled, elsewhere they are halved.
    const std::size_t each = appending ? Scenery::kChunk : (sources.size() + parts - 1) / parts;
    std::optional<ChunkWriter> writer;
    for (const Source& source : sources) {
        if (writer && (writer->size() == each || !writer->reaches(source.corner()))) {
            out.push_back(writer->done());
            writer.reset();
        }
        if (!writer) writer.emplace(source.corner());
        if (source.fresh)
            writer->add(*source.fresh);
        else
            writer->add(*source.chunk, source.index);
    }
    out.push_back(writer->done());
}

// Old and new buildings of one id range in order; a new one takes the place of the old one with its id.
std::vector<Source> woven(const Chunk* chunk, const std::vector<Building>& fresh, std::size_t from,
                          std::size_t to) {
    std::vector<Source> sources;
    const std::size_t n = chunk ? chunk->size() : 0;
    sources.reserve(n + to - from);
    std::size_t i = 0;
    for (std::size_t k = from; k < to; ++k) {
        for (; i < n && chunk->ids[i] < fresh[k].id; ++i) sources.push_back({chunk, i, nullptr});
        if (i < n && chunk->ids[i] == fresh[k].id) ++i;
        sources.push_back({nullptr, 0, &fresh[k]});
    }
    for (; i < n; ++i) sources.push_back({chunk, i, nullptr});
    return sources;
}

void sortLastWins(std::vector<Building>& buildings) {
    const auto byId = [](const Building& a, const Building& b) { return a.id < b.id; };
    if (!std::is_sorted(buildings.begin(), buildings.end(), byId))
        std::stable_sort(buildings.begin(), buildings.end(), byId);
    std::size_t n = 0;
    for (std::size_t i = 0; i < buildings.size(); ++i) {
        if (i + 1 < buildings.size() && buildings[i + 1].id == buildings[i].id) continue;
        if (n != i) buildings[n] = std::move(buildings[i]);
        ++n;
    }
    buildings.resize(n);
}

// First chunk whose last id is not below `id`.
std::size_t chunkOf(const std::vector<ChunkPtr>& chunks, ItemId id) {
    const auto it = std::lower_bound(chunks.begin(), chunks.end(), id,
                                     [](const ChunkPtr& c, ItemId v) { return c->ids.back() < v; });
    return static_cast<std::size_t>(it - chunks.begin());
}

struct Place {
    const Chunk* chunk = nullptr;
    std::size_t index = 0;
};
Place placeOf(const std::vector<ChunkPtr>& chunks, ItemId id) {
    const std::size_t c = chunkOf(chunks, id);
    if (c == chunks.size()) return {};
    const auto& ids = chunks[c]->ids;
    const auto it = std::lower_bound(ids.begin(), ids.end(), id);
    if (it == ids.end() || *it != id) return {};
    return {chunks[c].get(), static_cast<std::size_t>(it - ids.begin())};
}

} // namespace

Building BuildingChunk::building(std::size_t i) const {
    Building b;
    b.id = ids[i];
    b.heightM = toMillimetre(static_cast<double>(heightM[i]));
    b.parapetM = toMillimetre(static_cast<double>(parapetM[i]));
    b.storeys = storeys[i];
    b.use = use[i];
    b.entry = entry[i];
    const std::int64_t x = originMm(originX), y = originMm(originY);
    const std::uint32_t first = firstRing[i], last = firstRing[i + 1];
    if (last - first > 1) b.footprint.holes.resize(last - first - 1);
    for (std::uint32_t r = first; r < last; ++r) {
        Ring& ring = r == first ? b.footprint.outer : b.footprint.holes[r - first - 1];
        ring.reserve(firstCorner[r + 1] - firstCorner[r]);
        for (std::uint32_t c = firstCorner[r]; c < firstCorner[r + 1]; ++c)
            ring.push_back({static_cast<double>(x + cornerMm[2 * c]) / 1000.0,
                            static_cast<double>(y + cornerMm[2 * c + 1]) / 1000.0});
    }
    const auto name = std::lower_bound(names.begin(), names.end(), i,
                                       [](const auto& n, std::size_t at) { return n.first < at; });
    if (name != names.end() && name->first == i) b.name = name->second;
    return b;
}

Building asKept(Building b) {
    const auto round = [](Ring& ring) {
        for (PlanePoint& p : ring) p = {toMillimetre(p.x), toMillimetre(p.y)};
    };
    round(b.footprint.outer);
    for (Ring& hole : b.footprint.holes) round(hole);
    b.heightM = toMillimetre(b.heightM);
    b.parapetM = toMillimetre(b.parapetM);
    return b;
}

std::optional<Building> Scenery::building(ItemId id) const {
    const Place place = placeOf(m_chunks, id);
    if (!place.chunk) return std::nullopt;
    return place.chunk->building(place.index);
}

bool Scenery::hasBuilding(ItemId id) const { return placeOf(m_chunks, id).chunk != nullptr; }

void Scenery::putBuildings(std::vector<Building> buildings) {
    sortLastWins(buildings);
    std::vector<ChunkPtr> next;
    next.reserve(m_chunks.size() + buildings.size() / kChunk + 2);
    std::size_t at = 0; // first new building not yet placed
    for (std::size_t c = 0; c < m_chunks.size(); ++c) {
        const bool last = c + 1 == m_chunks.size();
        std::size_t end = at;
        if (last)
            end = buildings.size();
        else
            while (end < buildings.size() && buildings[end].id <= m_chunks[c]->ids.back()) ++end;
        // A full last chunk stays as it is when all that comes lies behind it.
        const bool behind = last && at < end && m_chunks[c]->ids.back() < buildings[at].id;
        if (at == end || (behind && m_chunks[c]->size() >= kChunk))
            next.push_back(m_chunks[c]);
        else {
            writeChunks(woven(m_chunks[c].get(), buildings, at, end), last, next);
            at = end;
        }
    }
    if (at < buildings.size()) writeChunks(woven(nullptr, buildings, at, buildings.size()), true, next);
    m_chunks = std::move(next);
    m_count = 0;
    for (const ChunkPtr& chunk : m_chunks) m_count += chunk->size();
}

void Scenery::removeBuildings(const std::vector<ItemId>& ids) {
    std::vector<ItemId> gone = ids;
    std::sort(gone.begin(), gone.end());
    std::vector<ChunkPtr> next;
    next.reserve(m_chunks.size());
    std::size_t at = 0;
    for (const ChunkPtr& chunk : m_chunks) {
        const std::size_t from = at;
        while (at < gone.size() && gone[at] <= chunk->ids.back()) ++at;
        std::vector<Source> kept;
        std::size_t g = from;
        for (std::size_t i = 0; at > from && i < chunk->size(); ++i) {
            while (g < at && gone[g] < chunk->ids[i]) ++g;
            if (g == at || gone[g] != chunk->ids[i]) kept.push_back({chunk.get(), i, nullptr});
        }
        if (at == from || kept.size() == chunk->size())
            next.push_back(chunk);
        else
            writeChunks(kept, true, next);
    }
    m_chunks = std::move(next);
    m_count = 0;
    for (const ChunkPtr& chunk : m_chunks) m_count += chunk->size();
}

bool Scenery::operator==(const Scenery& o) const {
    if (m_count != o.m_count || !(trees == o.trees)) return false;
    bool same = true;
    mergeChunks(
        m_chunks, o.m_chunks, [](const Chunk& c, std::size_t i) { return c.ids[i]; },
        [&](const Chunk* a, std::size_t i, const Chunk* b, std::size_t j) {
            same = same && a && b && a->building(i) == b->building(j);
            return same;
        });
    return same;
}

} // namespace fw
