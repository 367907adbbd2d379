// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "delivery/site_sheet.h"

namespace fw {

/// Radios of a mount that carry a chosen small cell, ascending by id. Of `sheet` the place, scale and
/// declination are read.
std::vector<RadioSheet> radioSheets(const Study& study, const MountPart& mount, const SiteSheet& sheet,
                                    const Ledger* ledger);

} // namespace fw
