// SPDX-License-Identifier: GPL-3.0-or-later
// The table of costs that the windows reckon by.
#pragma once

#include "siting/choice_costs.h"

#include <QString>

#include <filesystem>

namespace fw {

/// File of the user's own table, kept between sessions; empty: none.
QString ownCostTable();
void setOwnCostTable(const QString& file);

/// The user's own table, else the installed one; the values in the program where that is not there. A file
/// that cannot be read or says nonsense: Error with its name and what to do.
Result<CostTable> costsInUse(const std::filesystem::path& installed);

} // namespace fw
