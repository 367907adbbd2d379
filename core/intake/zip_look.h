// SPDX-License-Identifier: GPL-3.0-or-later
// The table of contents of a zip archive, read without unpacking anything.
// Source: ISO/IEC 21320-1:2015 and the ZIP file format specification it stands on (APPNOTE 6.3.3), 4.3
// and 4.5.
#pragma once

#include "base/result.h"

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace fw {

struct ZipEntry {
    std::string name;
    std::uint64_t packed = 0, unpacked = 0; ///< bytes, as the table says
    bool locked = false;                    ///< by a password
};

/// Refused by a sentence: tables that are broken or of more than 10,000 entries, names that are absolute or
/// lead out of the archive.
Result<std::vector<ZipEntry>> zipEntries(const std::filesystem::path& file);

} // namespace fw
