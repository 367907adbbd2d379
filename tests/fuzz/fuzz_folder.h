// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdlib>
#include <filesystem>
#include <string>

namespace fw::testing {

/// A folder of the process, gone with it; in memory where the system has a place for that.
inline const std::filesystem::path& fuzzFolder() {
    // Never destroyed: what removes it runs after the end of statics.
    static const auto& path = *new std::filesystem::path([] {
        const bool inMemory = std::filesystem::is_directory("/dev/shm");
        std::string pattern = (inMemory ? "/dev/shm/" : "/tmp/") + std::string("fw-fuzz-XXXXXX");
        if (!mkdtemp(pattern.data())) std::abort();
        std::atexit([] { std::filesystem::remove_all(fuzzFolder()); });
        return std::filesystem::path(pattern);
    }());
    return path;
}

} // namespace fw::testing
