// SPDX-License-Identifier: GPL-3.0-or-later
// What somebody hands in is looked at before a library gets it: which format it is by its own bytes, and
// whether it is one that is read at all.
#pragma once

#include "base/result.h"

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace fw {

enum class FileFormat : std::uint8_t {
    text,
    geoPackage,
    geoJson, ///< one document, or a feature a line
    shapefile,
    zippedShapefile,
    flatGeobuf,
    kml,
    kmz,
    gml,
    osmXml,
    osmPbf,
    xlsx,
    geoTiff,
    asciiGrid,
    srtm,
    dted,
    mbTiles, ///< a picture of the ground in tiles
};
/// As people call it: "Shapefile".
const char* nameOf(FileFormat format);
bool isRaster(FileFormat format);

/// A file that may be read, by the reader of that format and by no other.
struct AdmittedFile {
    std::filesystem::path whole; ///< absolute: no library takes that for a scheme or a document of its own
    FileFormat format = FileFormat::text;
    std::vector<std::string> members;  ///< of an archive: the files in it that are read
    std::vector<std::string> warnings; ///< sentences: "There is no .prj beside it, ..."
};

/// Refused by a sentence: what is not there or no regular file (a link to one will do), names that a library
/// would take for its own, formats that are not on the list or point elsewhere (virtual rasters and layers,
/// documents with a DTD), archives that are locked, hold names that lead out of them or unpack to more than
/// kMostUnpacked bytes or to 250 times their size, a Shapefile without its index. Opens no plan file but
/// through SQLite.
Result<AdmittedFile> admitFile(const std::filesystem::path& file);

constexpr std::uint64_t kMostUnpacked = std::uint64_t{1} << 30;

} // namespace fw
