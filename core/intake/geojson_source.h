// SPDX-License-Identifier: GPL-3.0-or-later
// GeoJSON as a source of rows, by a reader of its own: it follows no link, and holds one feature at a time.
#pragma once

#include "intake/file_gate.h"
#include "intake/source.h"

#include <string>

namespace fw {

struct FoundSystem;

/// Reads the whole file once, to know its columns, kinds, system and number of rows.
Result<std::unique_ptr<Source>> openGeoJsonSource(const AdmittedFile& file, const Job& job = {});

/// What the member "crs" of a collection names; no address is looked up.
FoundSystem geoJsonSystem(const std::string& crs);

} // namespace fw
