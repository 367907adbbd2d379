// SPDX-License-Identifier: GPL-3.0-or-later
// Copied items as text, for the clipboard.
#pragma once

#include "geo/frame.h"
#include "plan/edit_makers.h"

#include <string>
#include <string_view>

namespace fw {

inline constexpr const char* kCopiedSchema = "fringewright-items";
inline constexpr int kCopiedVersion = 1;

/// JSON of ours: schema name and version, the plan's system, items and what they name, in the fields of
/// plan/fields.h. Nothing is lost.
std::string copiedJson(const CopiedItems& copied);
/// Back. Refused by a sentence: text that is no JSON, JSON that is not ours, a newer version, broken items.
Result<CopiedItems> copiedFromJson(std::string_view text);

/// A line for each mount, radio, small cell, area and point (RFC 4180, a header line with units); places in
/// WGS 84 and in the plan's system.
std::string copiedCsv(const CopiedItems& copied, const Frame& frame);
/// The same as GeoJSON (RFC 7946): points, and polygons for areas.
std::string copiedGeoJson(const CopiedItems& copied, const Frame& frame);

} // namespace fw
