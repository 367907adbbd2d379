// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "siting/choice_costs.h"

#include <string>

namespace fw::cli {

/// The table of costs in a TOML file. @param file  empty: the installed one, or where that is missing the
/// values in the program. A Failure (file) with the file's name where it cannot be read or says nonsense.
CostTable costsFrom(const std::string& file);

} // namespace fw::cli
