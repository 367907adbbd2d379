// SPDX-License-Identifier: GPL-3.0-or-later
// Shapes that the JSON of several commands shares. Keys stand in a fixed order; numbers are rounded to fixed
// decimals and written in C notation, so that equal results have equal bytes.
#pragma once

#include "base/working.h"
#include "plan/plan.h"
#include "review/finding.h"

#include <nlohmann/json.hpp>

#include <optional>
#include <string>

namespace fw::cli {

using Json = nlohmann::ordered_json;

/// Rounded to `decimals`, never a negative zero; null where it is not finite.
Json number(double v, int decimals = 6);
Json number(const std::optional<double>& v, int decimals = 6);
/// To nine significant digits, for figures of any size.
Json figure(double v);
/// {"value", "unit"}
Json quantity(double v, const std::string& unit);
/// {"id", "kind", "name"}; null for none.
Json item(const Plan& plan, ItemId id);
/// {"schema": "fringewright.<what>", "version", "plan": {"name", "date", "variant"}}
Json head(const char* what, int version);
Json head(const char* what, int version, const Plan& plan);
/// {"title", "inputs", "steps", "source", "remarks"}
Json working(const Working& w);
/// Indented, with a line feed at the end; bytes that are not UTF-8 are replaced.
std::string written(const Json& json);

} // namespace fw::cli
