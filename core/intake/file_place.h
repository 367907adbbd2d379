// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/job.h"
#include "geo/point.h"
#include "intake/source.h"

#include <filesystem>
#include <optional>

namespace fw {

/// About where the rows of a file lie (the median of its first thousand places, WGS 84), or the middle of a
/// raster, so that a plan can begin there. Nothing where the file gives no places, or does not say in which
/// system.
std::optional<GeoPoint> placeOfFile(const std::filesystem::path& file, const Job& job = {});

} // namespace fw
