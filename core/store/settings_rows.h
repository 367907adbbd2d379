// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "gpkg/sqlite.h"
#include "plan/settings.h"
#include "store/plan_fault.h"

#include <string>

namespace fw {

/// The table `settings`: name and value as text, one row a setting; limits of the rule profile as `limit
/// NAME`.
inline constexpr const char* kSettingsTable = "settings";
std::string createSettingsSql();

/// Rows that are not known stay unread; a setting without a row keeps its default and gives a note. Told of
/// too: values that cannot be read or are out of range, which then have their default when the sink goes on,
/// and more rows than settings of any plan.
Result<PlanSettings> readSettings(Database& db, FaultSink& sink);
/// Updates and inserts in a fixed order; limits that are gone are deleted, rows that are not known stay.
Status writeSettings(Database& db, const PlanSettings& settings);

} // namespace fw
