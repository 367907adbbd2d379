// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/parallel.h"

#include <atomic>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace fw {

void parallelFor(std::size_t n, unsigned threads, const std::function<void(std::size_t)>& body) {
    if (threads == 0) threads = std::thread::hardware_concurrency();
    if (threads <= 1 || n <= 1) {
        for (std::size_t i = 0; i < n; ++i) body(i);
        return;
    }
    std::atomic<std::size_t> next{0};
    std::exception_ptr failure;
    std::mutex failureLock;
    auto work = [&] {
        try {
            for (std::size_t i = next++; i < n; i = next++) body(i);
        } catch (...) {
            const std::scoped_lock hold(failureLock);
            if (!failure) failure = std::current_exception();
            next = n;
        }
    };
    {
        std::vector<std::jthread> pool;
        const std::size_t extra = std::min<std::size_t>(threads, n) - 1;
        pool.reserve(extra);
        for (std::size_t k = 0; k < extra; ++k) pool.emplace_back(work);
        work();
    }
    if (failure) std::rethrow_exception(failure);
}

} // namespace fw
