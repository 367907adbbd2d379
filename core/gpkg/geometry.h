// SPDX-License-Identifier: GPL-3.0-or-later
// Geometry as GeoPackage stores it: a short header before ISO well-known binary.
// Source: OGC 12-128r18 (GeoPackage 1.3), 2.1.3; OGC 06-103r4, 8.2.
#pragma once

#include "geo/shape.h"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace fw {

/// Little-endian, without Z or M; lines and polygons carry their bounds. -0 is written as 0.
std::string geometryBytes(PlanePoint p, std::int32_t srsId);
std::string geometryBytes(const Line& line, std::int32_t srsId);
/// Rings are closed in the file: the first corner is repeated.
std::string geometryBytes(const Polygon& polygon, std::int32_t srsId);

/// Empty for anything that is not one geometry of that type in two dimensions: other types, collections, Z or
/// M, empty geometries, rings that do not close, bytes that are too few or too many. Either byte order is
/// taken.
std::optional<PlanePoint> pointFrom(std::string_view bytes);
std::optional<Line> lineFrom(std::string_view bytes);
std::optional<Polygon> polygonFrom(std::string_view bytes);
/// Why one of the above is empty, as a clause: "its outer ring is not closed".
enum class GeometryType { point, line, polygon };
std::string geometryFault(std::string_view bytes, GeometryType wanted);
/// SRS id of the header; empty when the header is broken.
std::optional<std::int32_t> srsIdFrom(std::string_view bytes);

} // namespace fw
