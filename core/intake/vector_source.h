// SPDX-License-Identifier: GPL-3.0-or-later
// Sources that the library reads: Shapefile, FlatGeobuf, KML and KMZ, GML, OSM extracts, XLSX; and, to hold
// our own readers beside, GeoPackage and GeoJSON.
#pragma once

#include "intake/file_gate.h"
#include "intake/source.h"

namespace fw {

/// @param found  becomes what vectorLayers() gives.
Result<std::unique_ptr<Source>> openVectorSource(const AdmittedFile& file, const SourceOptions& options,
                                                 const Job& job = {},
                                                 std::vector<SourceLayer>* found = nullptr);
Result<std::vector<SourceLayer>> vectorLayers(const AdmittedFile& file, const Job& job = {});

/// Which layer is meant: the one named, else the only one with rows (more than one with rows: refused by a
/// sentence that lists them all).
Result<std::size_t> layerMeant(const std::vector<SourceLayer>& layers, const SourceOptions& options,
                               const std::filesystem::path& file);

} // namespace fw
