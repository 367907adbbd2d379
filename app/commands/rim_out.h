// SPDX-License-Identifier: GPL-3.0-or-later
// What the rim of the computed ground cuts off, as `ledger` prints it.
#pragma once

#include "commands/json_out.h"
#include "study/rim.h"

namespace fw::cli {

/// The object "rim" of `ledger --json`, with its workings.
Json rimJson(const Study& study);
/// A note a line.
std::string rimText(const Study& study);

} // namespace fw::cli
