// SPDX-License-Identifier: GPL-3.0-or-later
// Tables that say the units of their columns in a line of their own, directly under the header.
#pragma once

#include "intake/source.h"

#include <memory>

namespace fw {

/// The source, or one that gives its rows without such a line and its units in SourceColumn::unit, with a
/// note. The line is taken for one where every filled field is a unit, at least one of them, and the columns
/// that have one hold numbers below it. Looks at the first rows.
std::unique_ptr<Source> withUnitsRow(std::unique_ptr<Source> source);

} // namespace fw
