// SPDX-License-Identifier: GPL-3.0-or-later
// Reads the #include lines of a source tree and says which ones break the directions of dependency.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace fwtest {

struct Breach {
    std::string file; ///< from the root of the tree, with '/'
    int line = 0;
    std::string what; ///< the broken edge or rule, in words

    [[nodiscard]] std::string sentence() const { return file + ":" + std::to_string(line) + ": " + what; }
};

/// Breaches in core/, widgets/ and app/ below `root`, by file and line.
///
/// core      a folder includes itself and folders of lower levels; no Qt; library headers only where they are
///           at home.
/// widgets   includes widgets and core; no SQLite, GDAL or PROJ.
/// app       includes anything of the three.
std::vector<Breach> brokenIncludes(const std::filesystem::path& root);

/// Sources and scripts whose first lines lack the licence.
std::vector<Breach> missingLicences(const std::filesystem::path& root);

/// Uses, in tests/, of the Qt Test macro that returns from a Catch2 test instead of failing it.
std::vector<Breach> silentChecks(const std::filesystem::path& root);

/// How many source files the checks above look at; a check over none proves nothing.
std::size_t sourceCount(const std::filesystem::path& root);

} // namespace fwtest
