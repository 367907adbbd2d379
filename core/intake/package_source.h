// SPDX-License-Identifier: GPL-3.0-or-later
// Layers of a GeoPackage as sources of rows, through SQLite alone: nothing that the file carries is computed,
// and the locks on a plan that is open stay where they are.
#pragma once

#include "gpkg/sqlite.h"
#include "intake/file_gate.h"
#include "intake/source.h"
#include "intake/source_system.h"

namespace fw {

/// Views, virtual tables and tiles are no layers that are read.
/// @param found  becomes what packageLayers() gives.
Result<std::unique_ptr<Source>> openPackageSource(const AdmittedFile& file, const SourceOptions& options,
                                                  const Job& job = {},
                                                  std::vector<SourceLayer>* found = nullptr);
Result<std::vector<SourceLayer>> packageLayers(const AdmittedFile& file);

/// The reference system that a package keeps under a number of its own; none, with a note, where it has none.
FoundSystem packageSystem(Database& db, std::int64_t srsId);

} // namespace fw
