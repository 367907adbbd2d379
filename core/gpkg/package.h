// SPDX-License-Identifier: GPL-3.0-or-later
// The tables that make an SQLite file a GeoPackage. Source: OGC 12-128r18 (GeoPackage 1.3).
#pragma once

#include "geo/shape.h"
#include "gpkg/sqlite.h"

#include <string>
#include <vector>

namespace fw {

/// A spatial reference system as gpkg_spatial_ref_sys keeps it.
struct PackageSrs {
    std::int32_t id = 0; ///< we use the EPSG code
    std::string name, organization = "EPSG";
    std::int32_t code = 0;
    std::string wkt; ///< WKT 1
};

/// One layer or plain table of a package.
struct PackageLayer {
    std::string table, title;
    std::string geometryType; ///< POINT, LINESTRING, POLYGON in column `geom`; empty: attributes only
};

/// Writes application_id, user_version (10300) and the required tables into an empty database, with the three
/// reference systems that the standard demands (4326, -1, 0).
Status makePackage(Database& db);
/// Inserts or replaces a reference system.
Status putSrs(Database& db, const PackageSrs& srs);
/// Registers a layer that exists as a table. `when` is its time of change: YYYY-MM-DDTHH:MM:SS.SSSZ.
Status registerLayer(Database& db, const PackageLayer& layer, std::int32_t srsId, const std::string& when);
/// Brings bounds, system and time of change of a layer up to date where they differ; an empty box is written
/// as NULL.
Status updateLayer(Database& db, const PackageLayer& layer, std::int32_t srsId, const Box& bounds,
                   const std::string& when);
/// True when the file says of itself that it is a GeoPackage.
Result<bool> isPackage(Database& db);

} // namespace fw
