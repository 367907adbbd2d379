// SPDX-License-Identifier: GPL-3.0-or-later
// Runs a piece of work in a child process with bounds on memory and processor time.
#pragma once

#include "base/sanitized.h"

#include <fstream>
#include <functional>
#include <stdexcept>
#include <string>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace fw::testing {

struct Bounded {
    bool ended = false; ///< of its own accord, with an answer
    std::string said;
    double peakMiB = 0; ///< resident, less what the child began with
    double seconds = 0; ///< of processor time

    /// A sanitizer reserves terabytes and is slow: there only the answer counts.
    static constexpr bool limited() {
#if defined(FW_SANITIZED)
        return false;
#else
        return true;
#endif
    }
};

/// Kibibytes of this process by a line of /proc/self/status, such as "VmSize:".
inline std::size_t ownKiB(const std::string& line) {
    std::ifstream status("/proc/self/status");
    std::string word;
    while (status >> word)
        if (word == line) {
            std::size_t kib = 0;
            status >> kib;
            return kib;
        }
    return 0;
}

/// Bounds: 500 MiB of addresses beyond those of this process, 2 s of processor time (the kernel counts whole
/// seconds and ends the child at the third).
inline Bounded inBoundedChild(const std::function<std::string()>& work) {
    int ends[2];
    if (pipe(ends) != 0) throw std::runtime_error("no pipe");
    const std::size_t sizeKiB = ownKiB("VmSize:"), residentKiB = ownKiB("VmRSS:");
    const pid_t child = fork();
    if (child < 0) throw std::runtime_error("no child");
    if (child == 0) {
        if (Bounded::limited()) {
            const rlimit memory{(sizeKiB << 10) + (500u << 20), (sizeKiB << 10) + (500u << 20)};
            const rlimit time{2, 3};
            setrlimit(RLIMIT_AS, &memory);
            setrlimit(RLIMIT_CPU, &time);
        }
        const std::string said = work();
        std::size_t at = 0;
        while (at < said.size()) {
            const ssize_t n = write(ends[1], said.data() + at, said.size() - at);
            if (n <= 0) _exit(1);
            at += static_cast<std::size_t>(n);
        }
        _exit(0);
    }
    close(ends[1]);
    Bounded ran;
    char block[4096];
    for (ssize_t n = 0; (n = read(ends[0], block, sizeof block)) > 0;)
        ran.said.append(block, static_cast<std::size_t>(n));
    close(ends[0]);
    int status = 0;
    rusage used{};
    wait4(child, &status, 0, &used);
    ran.ended = WIFEXITED(status) && WEXITSTATUS(status) == 0;
    const auto peakKiB = static_cast<std::size_t>(used.ru_maxrss);
    ran.peakMiB = peakKiB > residentKiB ? static_cast<double>(peakKiB - residentKiB) / 1024 : 0;
    ran.seconds = static_cast<double>(used.ru_utime.tv_sec + used.ru_stime.tv_sec) +
                  static_cast<double>(used.ru_utime.tv_usec + used.ru_stime.tv_usec) * 1e-6;
    return ran;
}

} // namespace fw::testing
