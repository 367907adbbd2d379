// SPDX-License-Identifier: GPL-3.0-or-later
// What other programs have hung on the tables of a plan: spatial indices and feature counts.
#pragma once

struct sqlite3;

namespace fw {

/// Gives a connection the functions by which the triggers of a spatial index see a geometry (ST_MinX,
/// ST_MaxX, ST_MinY, ST_MaxY, ST_IsEmpty; OGC 12-128r18, annex F.3), so that such an index follows what we
/// write. A trigger may write to an index (tables that begin with rtree_) and to the feature counts that GDAL
/// keeps (gpkg_ogr_contents), and read the row it stands at; a statement on whose way lies a trigger that
/// wants more is refused when it is prepared.
void guardTriggers(sqlite3* db);

} // namespace fw
