// SPDX-License-Identifier: GPL-3.0-or-later
// Small things about the text of a field.
#pragma once

#include <string>
#include <string_view>

namespace fw {

/// Without blanks at its ends: space, tab, no-break, narrow no-break and thin space, byte order mark; line
/// ends too unless told.
std::string_view trimmedField(std::string_view s, bool lineEnds = true);
/// ASCII letters alone.
std::string lowered(std::string_view s);
/// Empty, or what tables write for a missing value: "-", "n/a", "NaN", "null", "NIL", "#N/A".
bool isNothing(std::string_view field);

} // namespace fw
