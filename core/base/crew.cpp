// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/crew.h"

#include <algorithm>
#include <atomic>
#include <exception>

namespace fw {

struct Crew::Batch {
    Batch(std::size_t pieces, const std::function<void(std::size_t)>& each) : body(each), n(pieces) {}

    const std::function<void(std::size_t)>& body;
    std::size_t n;
    std::atomic<std::size_t> next{0};
    int inside = 0; ///< helpers at work; guarded by the crew's lock
    std::mutex failureLock;
    std::exception_ptr failure;
};

Crew::Crew(unsigned threads) {
    if (threads == 0) threads = std::clamp(std::thread::hardware_concurrency(), 1u, 4u);
    m_helpers.reserve(threads - 1);
    for (unsigned k = 1; k < threads; ++k)
        m_helpers.emplace_back([this](const std::stop_token& stop) { help(stop); });
}

Crew::~Crew() = default; // the threads' stop wakes them

void Crew::work(Batch& batch) {
    try {
        for (std::size_t i = batch.next++; i < batch.n; i = batch.next++) batch.body(i);
    } catch (...) {
        const std::scoped_lock hold(batch.failureLock);
        if (!batch.failure) batch.failure = std::current_exception();
        batch.next = batch.n;
    }
}

void Crew::help(const std::stop_token& stop) {
    std::uint64_t seen = 0;
    std::unique_lock hold(m_lock);
    while (m_wake.wait(hold, stop, [&] { return m_batch && m_round != seen; })) {
        seen = m_round;
        Batch& batch = *m_batch;
        ++batch.inside;
        hold.unlock();
        work(batch);
        hold.lock();
        if (--batch.inside == 0) m_left.notify_one();
    }
}

void Crew::forEach(std::size_t n, const std::function<void(std::size_t)>& body) {
    if (m_helpers.empty() || n <= 1) {
        for (std::size_t i = 0; i < n; ++i) body(i);
        return;
    }
    Batch batch(n, body);
    {
        const std::scoped_lock hold(m_lock);
        m_batch = &batch;
        ++m_round;
    }
    m_wake.notify_all();
    work(batch);
    {
        std::unique_lock hold(m_lock);
        m_batch = nullptr;
        m_left.wait(hold, [&] { return batch.inside == 0; });
    }
    if (batch.failure) std::rethrow_exception(batch.failure);
}

} // namespace fw
