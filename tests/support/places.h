// SPDX-License-Identifier: GPL-3.0-or-later
// Where the project lies. Not by a macro on the command line: then objects of two checkouts would differ.
#pragma once

#include <filesystem>

namespace fw::testing {

extern const char* const kSourceDir; ///< holds the top CMakeLists.txt
extern const char* const kBinaryDir; ///< of this build

/// A path under them, parts parted by "/".
inline std::filesystem::path sourceFile(const char* below) {
    return std::filesystem::path(kSourceDir) / below;
}
inline std::filesystem::path builtFile(const char* below) {
    return std::filesystem::path(kBinaryDir) / below;
}

} // namespace fw::testing
