// SPDX-License-Identifier: GPL-3.0-or-later
#include "gpkg/package.h"

#include <fmt/format.h>

namespace fw {

namespace {

constexpr std::int64_t kApplicationId = 0x47504B47; // "GPKG", clause 1.1.1.1.1
constexpr int kUserVersion = 10300;                 // 1.3.0, same clause

// Column names and types as the standard's annex C writes them.
constexpr const char* kTables = R"sql(
CREATE TABLE gpkg_spatial_ref_sys (
  srs_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL PRIMARY KEY,
  organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL,
  definition TEXT NOT NULL,
  description TEXT);
CREATE TABLE gpkg_contents (
  table_name TEXT NOT NULL PRIMARY KEY,
  data_type TEXT NOT NULL,
  identifier TEXT UNIQUE,
  description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE,
  srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
CREATE TABLE gpkg_geometry_columns (
  table_name TEXT NOT NULL,
  column_name TEXT NOT NULL,
  geometry_type_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL,
  z TINYINT NOT NULL,
  m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
CREATE TABLE gpkg_extensions (
  table_name TEXT,
  column_name TEXT,
  extension_name TEXT NOT NULL,
  definition TEXT NOT NULL,
  scope TEXT NOT NULL,
  CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name));
)sql";

constexpr const char* kWgs84 =
    R"(GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AXIS["Latitude",NORTH],AXIS["Longitude",EAST],AUTHORITY["EPSG","4326"]])";

} // namespace

Status makePackage(Database& db) {
    const std::string head =
        fmt::format("PRAGMA application_id={}; PRAGMA user_version={};", kApplicationId, kUserVersion);
    if (Status s = db.execute(head + kTables); !s.ok()) return s;
    if (Status s = putSrs(db, {-1, "Undefined cartesian SRS", "NONE", -1, "undefined"}); !s.ok()) return s;
    if (Status s = putSrs(db, {0, "Undefined geographic SRS", "NONE", 0, "undefined"}); !s.ok()) return s;
    return putSrs(db, {4326, "WGS 84 geodetic", "EPSG", 4326, kWgs84});
}

Status putSrs(Database& db, const PackageSrs& srs) {
    auto put = db.prepare(
        "INSERT OR REPLACE INTO gpkg_spatial_ref_sys "
        "(srs_name, srs_id, organization, organization_coordsys_id, definition) VALUES (?,?,?,?,?)");
    if (!put) return put.error();
    put->bind(1, std::string_view(srs.name));
    put->bind(2, std::int64_t{srs.id});
    put->bind(3, std::string_view(srs.organization));
    put->bind(4, std::int64_t{srs.code});
    put->bind(5, std::string_view(srs.wkt));
    return put->run();
}

Status registerLayer(Database& db, const PackageLayer& layer, std::int32_t srsId, const std::string& when) {
    const bool spatial = !layer.geometryType.empty();
    auto put = db.prepare("INSERT INTO gpkg_contents (table_name, data_type, identifier, last_change, "
                          "srs_id) VALUES (?,?,?,?,?)");
    if (!put) return put.error();
    put->bind(1, std::string_view(layer.table));
    put->bind(2, std::string_view(spatial ? "features" : "attributes"));
    put->bind(3, std::string_view(layer.title));
    put->bind(4, std::string_view(when));
    if (spatial) put->bind(5, std::int64_t{srsId});
    if (Status s = put->run(); !s.ok() || !spatial) return s;
    auto column = db.prepare("INSERT INTO gpkg_geometry_columns VALUES (?,'geom',?,?,0,0)");
    if (!column) return column.error();
    column->bind(1, std::string_view(layer.table));
    column->bind(2, std::string_view(layer.geometryType));
    column->bind(3, std::int64_t{srsId});
    return column->run();
}

Status updateLayer(Database& db, const PackageLayer& layer, std::int32_t srsId, const Box& bounds,
                   const std::string& when) {
    auto update = db.prepare(
        "UPDATE gpkg_contents SET min_x=?1, min_y=?2, max_x=?3, max_y=?4, last_change=?5, srs_id=?6 WHERE "
        "table_name=?7 AND (min_x IS NOT ?1 OR min_y IS NOT ?2 OR max_x IS NOT ?3 OR max_y IS NOT ?4 OR "
        "last_change IS NOT ?5 OR srs_id IS NOT ?6)");
    if (!update) return update.error();
    if (!bounds.empty()) {
        update->bind(1, bounds.x0);
        update->bind(2, bounds.y0);
        update->bind(3, bounds.x1);
        update->bind(4, bounds.y1);
    }
    update->bind(5, std::string_view(when));
    if (!layer.geometryType.empty()) update->bind(6, std::int64_t{srsId});
    update->bind(7, std::string_view(layer.table));
    if (Status s = update->run(); !s.ok() || layer.geometryType.empty()) return s;
    auto column =
        db.prepare("UPDATE gpkg_geometry_columns SET srs_id=?1 WHERE table_name=?2 AND srs_id IS NOT ?1");
    if (!column) return column.error();
    column->bind(1, std::int64_t{srsId});
    column->bind(2, std::string_view(layer.table));
    return column->run();
}

Result<bool> isPackage(Database& db) {
    const auto id = db.number("PRAGMA application_id");
    if (!id) return id.error();
    if (*id != kApplicationId) return false;
    return db.hasTable("gpkg_contents");
}

} // namespace fw
