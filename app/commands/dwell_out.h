// SPDX-License-Identifier: GPL-3.0-or-later
// How long users on streets stay with a small cell, as `ledger` prints it.
#pragma once

#include "commands/json_out.h"
#include "study/dwell.h"

namespace fw::cli {

/// Of a small cell; null where it is not among them, or leads on no street.
const Dwell* stayOf(const std::vector<Dwell>& dwells, ItemId small);
/// The object "dwell_s" of a small cell of `ledger --json`, in seconds; null for null.
Json dwellJson(const Dwell* dwell);
/// The object "streets" beside it: speed, metres and what is to be noted; null for null.
Json streetsJson(const Dwell* dwell);
/// A line of its own with speed, median and longest stay, and a word where they are short; empty for null.
std::string dwellText(const Dwell* dwell, const std::string& indent);
/// What that word means, once below all lines; empty where it is not said.
std::string dwellFoot(const std::vector<Dwell>& dwells);

} // namespace fw::cli
