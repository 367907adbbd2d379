// SPDX-License-Identifier: GPL-3.0-or-later
// Small things about the text of a field.
#pragma once

#include "base/result.h"

#include <string>
#include <string_view>

namespace fw {

/// Without blanks at its ends: space, tab, no-break, narrow no-break and thin space, byte order mark; line
/// ends too unless told.
std::string_view trimmedField(std::string_view s, bool lineEnds = true);
/// The refusal of a value: the text in quotation marks, no more than 60 bytes of it, and the clause that says
/// why.
Error badValue(std::string_view text, std::string_view clause);
/// Empty, or what tables write for a missing value: "-", "n/a", "NaN", "null", "NIL", "#N/A".
bool isNothing(std::string_view field);

} // namespace fw
