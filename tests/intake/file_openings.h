// SPDX-License-Identifier: GPL-3.0-or-later
// How often a file is opened, as the kernel tells it (inotify(7), IN_OPEN).
#pragma once

#include "catch.h"

#include <array>
#include <filesystem>
#include <sys/inotify.h>
#include <unistd.h>

namespace fw::testing {

class FileOpenings {
public:
    explicit FileOpenings(const std::filesystem::path& file) : m_watch(inotify_init1(IN_NONBLOCK)) {
        REQUIRE(m_watch >= 0);
        REQUIRE(inotify_add_watch(m_watch, file.c_str(), IN_OPEN) >= 0);
    }
    ~FileOpenings() { close(m_watch); }
    FileOpenings(const FileOpenings&) = delete;
    FileOpenings& operator=(const FileOpenings&) = delete;

    /// Since this was asked last. Each event of a single file is its head alone; the kernel merges equal ones
    /// that wait together, so there may be more.
    int count() {
        alignas(inotify_event) std::array<char, 4096> events{};
        int n = 0;
        for (;;) {
            const ssize_t got = read(m_watch, events.data(), events.size());
            if (got <= 0) return n;
            n += static_cast<int>(static_cast<std::size_t>(got) / sizeof(inotify_event));
        }
    }

private:
    int m_watch;
};

} // namespace fw::testing
