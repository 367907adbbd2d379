// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <algorithm>
#include <cstddef>
#include <span>
#include <utility>
#include <vector>

namespace fw {

/// Values by key, ascending, in one piece of memory: copied, compared and walked far more quickly than a
/// tree. One insertion among many moves all behind it; take mergeWith() for several.
template <class Key, class Value>
class FlatMap {
public:
    using Entry = std::pair<Key, Value>;
    using const_iterator = typename std::vector<Entry>::const_iterator;

    [[nodiscard]] const_iterator begin() const { return m_entries.begin(); }
    [[nodiscard]] const_iterator end() const { return m_entries.end(); }
    [[nodiscard]] bool empty() const { return m_entries.empty(); }
    [[nodiscard]] std::size_t size() const { return m_entries.size(); }
    [[nodiscard]] const_iterator lower_bound(Key key) const {
        return std::lower_bound(m_entries.begin(), m_entries.end(), key, before);
    }
    [[nodiscard]] const_iterator find(Key key) const {
        const auto at = lower_bound(key);
        return at != end() && at->first == key ? at : end();
    }
    /// Entries from `first` up to but without `end`.
    [[nodiscard]] std::span<const Entry> between(Key first, Key end) const {
        return {lower_bound(first), lower_bound(end)};
    }
    [[nodiscard]] bool contains(Key key) const { return find(key) != end(); }
    bool operator==(const FlatMap&) const = default;

    /// `key` lies above all keys so far.
    void append(Key key, const Value& value) { m_entries.emplace_back(key, value); }

    /// For every entry of `other`: fold(value here, value there), starting from Value{} where the key is new.
    /// Entries for which drop(value) then holds go.
    template <class Fold, class Drop>
    void mergeWith(const FlatMap& other, Fold&& fold, Drop&& drop) {
        std::vector<Entry> fresh;
        bool gone = false;
        auto at = m_entries.begin();
        for (const auto& [key, value] : other.m_entries) {
            at = std::lower_bound(at, m_entries.end(), key, before);
            if (at == m_entries.end() || at->first != key) {
                Entry e{key, Value{}};
                fold(e.second, value);
                if (!drop(e.second)) fresh.push_back(std::move(e));
            } else {
                fold(at->second, value);
                gone = gone || drop(at->second);
            }
        }
        if (gone) std::erase_if(m_entries, [&](const Entry& e) { return drop(e.second); });
        if (fresh.empty()) return;
        const auto middle = static_cast<std::ptrdiff_t>(m_entries.size());
        m_entries.insert(m_entries.end(), fresh.begin(), fresh.end());
        std::inplace_merge(m_entries.begin(), m_entries.begin() + middle, m_entries.end(),
                           [](const Entry& a, const Entry& b) { return a.first < b.first; });
    }

private:
    static bool before(const Entry& e, Key key) { return e.first < key; }

    std::vector<Entry> m_entries;
};

} // namespace fw
