// SPDX-License-Identifier: GPL-3.0-or-later
// The uplink's ledger as the command prints it.
#pragma once

#include "commands/json_out.h"
#include "study/uplink.h"

namespace fw::cli {

/// The object "uplink" of `ledger --uplink --json`.
Json uplinkJson(const Study& study, const UplinkLedger& ledger);
/// In words. @param all  cells too that gain less than half a point.
std::string uplinkText(const Study& study, const UplinkLedger& ledger, bool all);

} // namespace fw::cli
