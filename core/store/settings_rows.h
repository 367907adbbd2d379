// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "gpkg/sqlite.h"
#include "plan/settings.h"

#include <string>
#include <vector>

namespace fw {

/// The table `settings`: name and value as text, one row a setting; limits of the rule profile as `limit
/// NAME`.
inline constexpr const char* kSettingsTable = "settings";
std::string createSettingsSql();

/// Rows that are not known stay unread; a setting without a row keeps its default and gives a note.
Result<PlanSettings> readSettings(Database& db, std::vector<std::string>& notes);
/// Updates and inserts in a fixed order; limits that are gone are deleted, rows that are not known stay.
Status writeSettings(Database& db, const PlanSettings& settings);

} // namespace fw
