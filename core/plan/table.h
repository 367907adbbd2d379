// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/id.h"
#include "plan/merge.h"

#include <algorithm>
#include <cstddef>
#include <memory>
#include <vector>

namespace fw {

/// Items of one kind, ascending by id, in shared immutable chunks. Copying the table copies pointers; an edit
/// copies the one chunk it touches. Chunk pointers that two tables share hold the same items: that is what
/// diff() rests on.
template <class T>
class Table {
public:
    static constexpr std::size_t kChunk = 128;
    using Chunk = std::vector<T>;
    using ChunkPtr = std::shared_ptr<const Chunk>;

    [[nodiscard]] std::size_t size() const { return m_size; }
    [[nodiscard]] bool empty() const { return m_size == 0; }
    [[nodiscard]] const std::vector<ChunkPtr>& chunks() const { return m_chunks; }

    [[nodiscard]] const T* find(ItemId id) const {
        const std::size_t c = chunkOf(id);
        if (c == m_chunks.size()) return nullptr;
        const Chunk& chunk = *m_chunks[c];
        const auto it = std::lower_bound(chunk.begin(), chunk.end(), id, before);
        return it != chunk.end() && it->id == id ? &*it : nullptr;
    }

    /// Inserts, or replaces the item with that id.
    void put(T item) {
        if (m_chunks.empty()) {
            m_chunks.push_back(std::make_shared<const Chunk>(Chunk{std::move(item)}));
            m_size = 1;
            return;
        }
        const std::size_t c = std::min(chunkOf(item.id), m_chunks.size() - 1);
        auto chunk = std::make_shared<Chunk>(*m_chunks[c]);
        const auto it = std::lower_bound(chunk->begin(), chunk->end(), item.id, before);
        if (it != chunk->end() && it->id == item.id) {
            *it = std::move(item);
        } else {
            chunk->insert(it, std::move(item));
            ++m_size;
        }
        if (chunk->size() > kChunk)
            split(c, std::move(chunk));
        else
            m_chunks[c] = std::move(chunk);
    }

    /// False when there is none.
    bool remove(ItemId id) {
        const std::size_t c = chunkOf(id);
        if (c == m_chunks.size() || !find(id)) return false;
        auto chunk = std::make_shared<Chunk>(*m_chunks[c]);
        chunk->erase(std::lower_bound(chunk->begin(), chunk->end(), id, before));
        --m_size;
        if (chunk->empty())
            m_chunks.erase(m_chunks.begin() + static_cast<std::ptrdiff_t>(c));
        else
            m_chunks[c] = std::move(chunk);
        return true;
    }

    /// Replaces everything; items ascending by id.
    void assign(std::vector<T> items) {
        m_chunks.clear();
        m_size = items.size();
        for (std::size_t i = 0; i < items.size(); i += kChunk) {
            const std::size_t n = std::min(kChunk, items.size() - i);
            m_chunks.push_back(std::make_shared<const Chunk>(
                std::make_move_iterator(items.begin() + static_cast<std::ptrdiff_t>(i)),
                std::make_move_iterator(items.begin() + static_cast<std::ptrdiff_t>(i + n))));
        }
    }

    class Iterator {
    public:
        using value_type = T;
        using difference_type = std::ptrdiff_t;
        Iterator() = default;
        Iterator(const std::vector<ChunkPtr>* chunks, std::size_t chunk) : m_chunks(chunks), m_chunk(chunk) {}
        const T& operator*() const { return (*(*m_chunks)[m_chunk])[m_at]; }
        const T* operator->() const { return &**this; }
        Iterator& operator++() {
            if (++m_at == (*m_chunks)[m_chunk]->size()) {
                ++m_chunk;
                m_at = 0;
            }
            return *this;
        }
        Iterator operator++(int) {
            Iterator old = *this;
            ++*this;
            return old;
        }
        bool operator==(const Iterator& o) const { return m_chunk == o.m_chunk && m_at == o.m_at; }

    private:
        const std::vector<ChunkPtr>* m_chunks = nullptr;
        std::size_t m_chunk = 0, m_at = 0;
    };
    [[nodiscard]] Iterator begin() const { return {&m_chunks, 0}; }
    [[nodiscard]] Iterator end() const { return {&m_chunks, m_chunks.size()}; }

    bool operator==(const Table& o) const {
        if (m_size != o.m_size) return false;
        bool same = true;
        mergeChunks(
            m_chunks, o.m_chunks, [](const Chunk& c, std::size_t i) { return c[i].id; },
            [&](const Chunk* a, std::size_t i, const Chunk* b, std::size_t j) {
                return same = same && a && b && (*a)[i] == (*b)[j];
            });
        return same;
    }

private:
    static bool before(const T& item, ItemId id) { return item.id < id; }
    // First chunk whose last id is not below `id`; size() when all are.
    [[nodiscard]] std::size_t chunkOf(ItemId id) const {
        const auto it = std::lower_bound(m_chunks.begin(), m_chunks.end(), id,
                                         [](const ChunkPtr& c, ItemId v) { return c->back().id < v; });
        return static_cast<std::size_t>(it - m_chunks.begin());
    }
    void split(std::size_t c, std::shared_ptr<Chunk> chunk) {
        // Ids mostly grow: a full last chunk is left full and the newcomer opens the next one.
        const bool appending = c + 1 == m_chunks.size();
        const auto cut = chunk->begin() + static_cast<std::ptrdiff_t>(appending ? kChunk : kChunk / 2);
        auto tail = std::make_shared<Chunk>(cut, chunk->end());
        chunk->erase(cut, chunk->end());
        m_chunks[c] = std::move(chunk);
        m_chunks.insert(m_chunks.begin() + static_cast<std::ptrdiff_t>(c + 1), std::move(tail));
    }

    std::vector<ChunkPtr> m_chunks;
    std::size_t m_size = 0;
};

} // namespace fw
