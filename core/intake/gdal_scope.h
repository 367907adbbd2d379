// SPDX-License-Identifier: GPL-3.0-or-later
// How intake speaks with GDAL: quietly, and without what a file of unknown origin may not set off.
#pragma once

#include <string>
#include <utility>
#include <vector>

namespace fw {

/// While it lives, calls of this thread into the library print nothing and follow no link: no schema, no
/// external entity, no file beside the one that is read but those its format needs, no network. The drivers
/// of the formats that intake reads are there.
class GdalScope {
public:
    GdalScope();
    ~GdalScope();
    GdalScope(const GdalScope&) = delete;
    GdalScope& operator=(const GdalScope&) = delete;

    /// A setting for as long as the scope lives.
    void set(const char* key, const char* value);
    /// What the library said last, without its line ends, cut to a length that fits into a sentence; empty
    /// when nothing failed.
    static std::string lastMessage();

private:
    std::vector<std::pair<std::string, std::pair<bool, std::string>>> m_before;
};

/// Keeps the library's messages out of the terminal and no more: for calls that open nothing.
class GdalQuiet {
public:
    GdalQuiet();
    ~GdalQuiet();
    GdalQuiet(const GdalQuiet&) = delete;
    GdalQuiet& operator=(const GdalQuiet&) = delete;
};

} // namespace fw
