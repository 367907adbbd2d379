// SPDX-License-Identifier: GPL-3.0-or-later
// A pack as files in a folder: the sheets as PDF, the works as data.
#pragma once

#include "print/pack.h"

#include <filesystem>
#include <vector>

namespace fw {

/// What was written, in the order it is named to people.
struct PackFiles {
    std::filesystem::path sheets;             ///< the PDF
    std::vector<std::filesystem::path> works; ///< GeoPackage, GeoJSON, KML, CSV
    std::size_t sites = 0, radios = 0;
};

/// Leaves the sheets of these mounts (ascending); the figures of the cover stay those of the whole plan, and
/// a remark there says how many of the chosen sites the pack holds.
void keepOnly(PackContent& content, const std::vector<ItemId>& sites);

/// Where the files of a pack lie in a folder; nothing is looked at.
PackFiles packFilesIn(const std::filesystem::path& folder);

/// Makes the folder where there is none. Refused by a sentence.
Status makePackFolder(const std::filesystem::path& folder);

/// Writes all files of a pack, making the folder where there is none. All or nothing: they are written aside
/// in the folder and moved into place at the end, over those of an earlier pack; refused or stopped, the
/// folder is as it was. Refused: a file that is the plan, something in the way, no rights. @param planFile
/// is never written over; empty when there is none
Result<PackFiles> writePackFiles(const PackContent& content, const PackOptions& options,
                                 const std::filesystem::path& folder, const std::filesystem::path& planFile,
                                 const Job& job = {});

} // namespace fw
