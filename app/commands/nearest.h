// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace fw::cli {

/// " Did you mean "x"?" when one of `names` is near to what was given, else nothing. Of equally near ones the
/// first.
std::string didYouMean(std::string_view given, const std::vector<std::string>& names);

} // namespace fw::cli
