// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "port_merrow.h"

#include "base/result.h"

#include <vector>

namespace fw::town {

/// Looks for the radios of the roll-out: best azimuths of every mount that is not bad on purpose, then mount
/// by mount the one that brings the full carriers most, as the study and the review judge it. Some minutes.
Result<std::vector<Aim>> findAims(std::size_t count);

/// As lines of port_merrow_aims.inc.
std::string aimsText(const std::vector<Aim>& aims);

} // namespace fw::town
