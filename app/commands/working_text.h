// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/working.h"

#include <string>

namespace fw::cli {

/// A figure with its unit: up to six decimals, none of them for show.
std::string figureText(double v, const std::string& unit);
/// The steps in words, each line after `indent`; the last line but source and remarks is the result.
std::string workingText(const Working& w, const std::string& indent);

} // namespace fw::cli
