// SPDX-License-Identifier: GPL-3.0-or-later
// Whether the tables of a plan are plain ones. In a plan's own tables no expression of the file is ever
// computed, neither when it is opened nor when it is saved.
#pragma once

#include "gpkg/sqlite.h"
#include "store/plan_fault.h"

#include <set>
#include <string>

namespace fw {

/// More tables, views, indices and triggers than this no plan has, whatever other programs added.
inline constexpr std::int64_t kMostSchemaEntries = 5000;

/// Tables that a plan needs, without those of its layers: contents, geometry columns, systems, counters,
/// settings.
bool isPlanTable(const std::string& table);

/// Looks at the schema before anything is read from a table. Told of: too many entries; views and virtual
/// tables in the place of the plan's tables, columns and defaults that are computed, CHECK rules, conflict
/// clauses, tables without row numbers; indices over a part of the rows or over expressions; triggers that do
/// more than keep a spatial index or a feature count. Missing tables are told where they are read; in a file
/// that is no plan nothing is looked at.
/// @return tables that must not be read, when the sink goes on
Result<std::set<std::string>> lookAtSchema(Database& db, FaultSink& sink);

} // namespace fw
