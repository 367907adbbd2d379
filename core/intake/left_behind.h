// SPDX-License-Identifier: GPL-3.0-or-later
// Work of a library that cannot be interrupted, and a caller who must not wait for it.
#pragma once

#include "base/job.h"

#include <functional>
#include <memory>
#include <optional>
#include <utility>

namespace fw {

/// Runs `work` on a thread of its own and returns within 50 ms of a stop being asked for, with false: the
/// work then goes on unseen until it ends by itself, so it must own all that it touches. The end of the
/// program waits for it. True: the work is done. A job that nobody can stop is done on the caller's thread.
bool doneUnlessStopped(const Job& job, std::function<void()> work);

/// Runs `work`, which must own all that it touches, on a thread of its own: what nobody need wait for but the
/// end of the program. On the caller's thread where there is none to be had.
void leaveBehind(std::function<void()> work);

/// The same for work that gives a value. What comes too late is destroyed on the thread that made it.
template <class T>
std::optional<T> valueUnlessStopped(const Job& job, std::function<T()> work) {
    const auto made = std::make_shared<std::optional<T>>();
    // The thread keeps nothing alive once the value is the caller's: late, it lets go of the last share
    // itself.
    if (!doneUnlessStopped(job, [made, work = std::move(work)] { made->emplace(work()); }))
        return std::nullopt;
    return std::move(*made);
}

} // namespace fw
