// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <algorithm>
#include <cstddef>
#include <functional>
#include <thread>

namespace fw {

/// Runs body(i) once for each i in [0, n), on up to `threads` threads (0: one per core). Which thread takes
/// which i is open, so body(i) writes only what belongs to i; results are then the same for any number of
/// threads. An exception of a body ends the loop and is thrown again here, on the caller's thread.
void parallelFor(std::size_t n, unsigned threads, const std::function<void(std::size_t)>& body);

/// Threads for work beside somebody who waits for answers: every one of the machine but one, one at least.
inline unsigned spareThreads() { return std::max(2u, std::thread::hardware_concurrency()) - 1; }

} // namespace fw
