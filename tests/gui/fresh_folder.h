// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "support/places.h"

#include <filesystem>
#include <string>

namespace fwtest {

/// A place for a test's files, which whoever writes them makes: what an earlier run left there is gone.
inline std::filesystem::path freshFolder(const std::string& below) {
    const auto dir = fw::testing::builtFile("test_files") / below;
    std::filesystem::remove_all(dir);
    std::filesystem::create_directories(dir.parent_path());
    return dir;
}

} // namespace fwtest
