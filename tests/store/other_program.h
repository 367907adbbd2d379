// SPDX-License-Identifier: GPL-3.0-or-later
// What another program does to a plan file, with connections of its own.
#pragma once

#include "geo/shape.h"

#include <cstdint>
#include <filesystem>
#include <memory>
#include <set>
#include <string>
#include <vector>

struct sqlite3;

namespace fw::testing {

/// A plain SQLite connection; made if there is no such file.
class OtherProgram {
public:
    explicit OtherProgram(const std::filesystem::path& file);
    void run(const std::string& sql);
    std::vector<std::string> column(const std::string& sql); ///< first column of all rows, as text
    std::string value(const std::string& sql); ///< of the first row; "nothing" when there is none

private:
    struct Close {
        void operator()(sqlite3* db) const;
    };
    std::unique_ptr<sqlite3, Close> m_db;
};

/// GDAL makes a spatial index for a layer.
void indexWithGdal(const std::filesystem::path& file, const std::string& layer);
/// The uids that GDAL finds in a layer round a place.
std::set<std::uint32_t> idsAround(const std::filesystem::path& file, const std::string& layer, PlanePoint at,
                                  double halfM);

} // namespace fw::testing
