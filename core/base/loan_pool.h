// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <functional>
#include <memory>
#include <mutex>
#include <utility>
#include <vector>

namespace fw {

/// Working memory lent to one task at a time: as many as run at once are made, all end with the pool. A loan
/// comes back by itself and must not outlive the pool. Thread-safe.
template <class T>
class LoanPool {
public:
    using Loan = std::unique_ptr<T, std::function<void(T*)>>;
    Loan lend() {
        std::unique_ptr<T> one;
        {
            const std::lock_guard lock(m_guard);
            if (!m_free.empty()) {
                one = std::move(m_free.back());
                m_free.pop_back();
            }
        }
        if (!one) one = std::make_unique<T>();
        return Loan(one.release(), [this](T* back) {
            std::unique_ptr<T> kept(back);
            const std::lock_guard lock(m_guard);
            m_free.push_back(std::move(kept));
        });
    }

private:
    std::mutex m_guard;
    std::vector<std::unique_ptr<T>> m_free;
};

} // namespace fw
