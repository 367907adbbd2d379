// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "port_merrow.h"

#include "base/result.h"

#include <filesystem>

namespace fw::town {

inline constexpr const char* kPlanFile = "port-merrow.plan.gpkg";
inline constexpr const char* kTerrainFile = "port-merrow-terrain.tif";
inline constexpr const char* kExpectedFile = "expected-findings.json";

/// What is bad on purpose, as JSON: mount, subjects, rule, severity, why.
std::string expectedJson(const std::vector<Expected>& expected);

/// Writes plan, terrain and expected findings into an existing folder. Files of those names are replaced.
Status writeSample(Sample sample, const std::filesystem::path& folder);

} // namespace fw::town
