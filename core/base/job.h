// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <functional>
#include <stop_token>
#include <string_view>

namespace fw {

/// What long work takes beside its input. Both parts may be left out. The callback may come from any thread
/// and must be quick; `share` runs from 0 to 1 and never falls. Work looks at the token at least every 50 ms.
struct Job {
    std::stop_token stop = {};
    std::function<void(double share, std::string_view what)> progress = {};

    [[nodiscard]] bool stopped() const { return stop.stop_requested(); }
    void report(double share, std::string_view what) const {
        if (progress) progress(share, what);
    }
};

enum class Outcome { done, cancelled, failed };

} // namespace fw
