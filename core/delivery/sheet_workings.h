// SPDX-License-Identifier: GPL-3.0-or-later
// The steps behind what the pack prints.
#pragma once

#include "base/working.h"
#include "delivery/site_sheet.h"
#include "review/review.h"

#include <vector>

namespace fw {

/// Behind the cover: of every congested cell its use after, how long it holds, and what else would help.
std::vector<Working> coverWorkings(const Study& study, const Ledger& ledger);

/// Behind a site's sheet: the bearings to set, of each chosen small cell relief, own use and fit, and what
/// was measured of every finding about the site.
std::vector<Working> siteWorkings(const Study& study, const Review& review, const Ledger& ledger,
                                  const SiteSheet& sheet);

} // namespace fw
