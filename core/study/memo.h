// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/digest.h"

#include <mutex>
#include <optional>
#include <unordered_map>

namespace fw {

/// Results of pure functions by the digest of their inputs, shared between studies and threads. It may forget
/// everything at any time; only speed depends on it.
template <class T>
class Memo {
public:
    /// @param most  entries kept; with one more, all are forgotten.
    explicit Memo(std::size_t most = 100000) : m_most(most) {}

    template <class F>
    T get(const Digest& key, F&& make) {
        {
            const std::scoped_lock hold(m_lock);
            const auto it = m_values.find(key);
            if (it != m_values.end()) return it->second;
        }
        T value = make();
        const std::scoped_lock hold(m_lock);
        if (m_values.size() >= m_most) m_values.clear();
        m_values.emplace(key, value);
        return value;
    }

private:
    std::size_t m_most;
    std::mutex m_lock;
    std::unordered_map<Digest, T> m_values;
};

} // namespace fw
