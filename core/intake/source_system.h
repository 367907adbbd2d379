// SPDX-License-Identifier: GPL-3.0-or-later
// Which reference system a file names.
#pragma once

#include <string>
#include <vector>

class OGRSpatialReference;

namespace fw {

struct SourceHead;

/// As found in a file, in two dimensions.
struct FoundSystem {
    int epsg = 0;                   ///< 0: not in the registry, or not surely
    std::string wkt, name;          ///< empty: none
    std::vector<std::string> notes; ///< sentences: what was left out, or why there is none
};

/// Vertical parts are left out with a note. The code is the file's own, else the registry's where the
/// library is at least 90 % sure. Systems that lie nowhere on Earth are none, with a note.
FoundSystem systemFrom(const OGRSpatialReference* stored);
FoundSystem systemFromCode(int epsg);
/// WKT of any kind; nothing else: no address, no file name.
FoundSystem systemFromWkt(const std::string& wkt);
/// True where the file's x runs north: its coordinates have to be swapped.
bool northFirst(const OGRSpatialReference* stored);

void putInto(SourceHead& head, FoundSystem system);

} // namespace fw
