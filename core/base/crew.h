// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <condition_variable>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

namespace fw {

/// Threads that stay between calls, for work that comes often and is short: a frame of a drag, where starting
/// a thread would cost a share of what it saves. Idle, they sleep. For one caller at a time.
class Crew {
public:
    /// @param threads  that work together, the caller's counted; 0: one per core, at most four.
    explicit Crew(unsigned threads = 0);
    ~Crew();
    Crew(const Crew&) = delete;
    Crew& operator=(const Crew&) = delete;

    [[nodiscard]] unsigned threads() const { return static_cast<unsigned>(m_helpers.size()) + 1; }
    /// Runs body(i) once for each i in [0, n), as parallelFor() does and with its terms; lower i begin first.
    /// A helper that has not woken by then is not waited for: on a busy machine the caller does the work.
    /// `body` must not call this again.
    void forEach(std::size_t n, const std::function<void(std::size_t)>& body);

private:
    struct Batch;
    static void work(Batch& batch);
    void help(const std::stop_token& stop);

    std::mutex m_lock;
    std::condition_variable_any m_wake;
    std::condition_variable m_left;
    Batch* m_batch = nullptr; ///< open to helpers
    std::uint64_t m_round = 0;
    std::vector<std::jthread> m_helpers;
};

/// On the crew, or on this thread where there is none.
inline void forEach(Crew* crew, std::size_t n, const std::function<void(std::size_t)>& body) {
    if (crew) {
        crew->forEach(n, body);
        return;
    }
    for (std::size_t i = 0; i < n; ++i) body(i);
}

} // namespace fw
