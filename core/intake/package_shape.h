// SPDX-License-Identifier: GPL-3.0-or-later
// Geometries of a GeoPackage as shapes of rows. Source: OGC 12-128r18, 2.1.3; OGC 06-103r4, 8.2.
#pragma once

#include "intake/source.h"

#include <string_view>

namespace fw {

/// Points, lines, polygons and collections of them in either byte order, Z and M skipped, curves as chords.
/// Anything else is a fault of the shape; no bytes are "it has no geometry".
void shapeFromPackage(std::string_view bytes, SourceShape& shape);

} // namespace fw
